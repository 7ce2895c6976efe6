/** What may stand where a value was meant, as JSON text: some of it no JavaScript value can say. */

/** Arrays in arrays, so deep that whoever walks them by recursion falls. */
export const DEEP = 10_000;
const deep = `${"[".repeat(DEEP)}${"]".repeat(DEEP)}`;

export const JUNK: readonly string[] = [
  "null",
  "true",
  "-1",
  "1.5",
  "1e999",
  "-1e999",
  "9007199254740993",
  "1".repeat(400),
  "-0",
  '""',
  '"\\u0000"',
  '"\\ud800"',
  '"a\\udc00b"',
  '"\\u202egnol"',
  '"NaN"',
  '"__proto__"',
  '"constructor"',
  `"${"x".repeat(500)}"`,
  `"${"é".repeat(40_000)}"`,
  "[]",
  "{}",
  "[[[[[]]]]]",
  deep,
  `${'{"a":'.repeat(500)}1${"}".repeat(500)}`,
  '{"__proto__":{"polluted":true}}',
  '{"constructor":{"prototype":{"polluted":true}}}',
  '{"toString":"x","valueOf":1,"hasOwnProperty":null}',
  '{"length":1e9}',
  '{"toJSON":{}}',
  '{"_placeholder":true,"num":0}',
  '{"then":true}',
  `[${"0,".repeat(5_000)}0]`,
];

/** Keys that no message of ours has. */
export const STRANGE_KEYS = [
  "__proto__",
  "constructor",
  "toString",
  "prototype",
  "then",
  "extra",
  "",
  "0",
] as const;

/** Names of events that are not ours; some of them mean something to whoever listens. */
export const STRANGE_EVENTS = [
  "shutdown",
  "error",
  "data",
  "message",
  "close",
  "__proto__",
  "constructor",
  "toString",
  "hasOwnProperty",
  "view ",
  "patch",
  "gone",
  "",
  "ping",
] as const;
