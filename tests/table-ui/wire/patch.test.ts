import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { applyPatch, makePatch } from "../../../table-ui/wire/patch.ts";

describe("[W10] a patch is a JSON merge patch", () => {
  // RFC 7396, Appendix A: all fifteen examples, in its order.
  test.each([
    ['{"a":"b"}', '{"a":"c"}', '{"a":"c"}'],
    ['{"a":"b"}', '{"b":"c"}', '{"a":"b","b":"c"}'],
    ['{"a":"b"}', '{"a":null}', "{}"],
    ['{"a":"b","b":"c"}', '{"a":null}', '{"b":"c"}'],
    ['{"a":["b"]}', '{"a":"c"}', '{"a":"c"}'],
    ['{"a":"c"}', '{"a":["b"]}', '{"a":["b"]}'],
    ['{"a":{"b":"c"}}', '{"a":{"b":"d","c":null}}', '{"a":{"b":"d"}}'],
    ['{"a":[{"b":"c"}]}', '{"a":[1]}', '{"a":[1]}'],
    ['["a","b"]', '["c","d"]', '["c","d"]'],
    ['{"a":"b"}', '["c"]', '["c"]'],
    ['{"a":"foo"}', "null", "null"],
    ['{"a":"foo"}', '"bar"', '"bar"'],
    ['{"e":null}', '{"a":1}', '{"e":null,"a":1}'],
    ["[1,2]", '{"a":"b","c":null}', '{"a":"b"}'],
    ["{}", '{"a":{"bb":{"ccc":null}}}', '{"a":{"bb":{}}}'],
  ])("%s with %s is %s", (target, patch, result) => {
    expect(applyPatch(JSON.parse(target), JSON.parse(patch))).toEqual(JSON.parse(result));
  });

  test("the example of RFC 7396, section 3", () => {
    const target = {
      title: "Goodbye!",
      author: { givenName: "John", familyName: "Doe" },
      tags: ["example", "sample"],
      content: "This will be unchanged",
    };
    const patch = {
      title: "Hello!",
      phoneNumber: "+01-123-456-7890",
      author: { familyName: null },
      tags: ["example"],
    };
    expect(applyPatch(target, patch)).toEqual({
      title: "Hello!",
      author: { givenName: "John" },
      tags: ["example"],
      content: "This will be unchanged",
      phoneNumber: "+01-123-456-7890",
    });
  });

  test("neither the target nor the patch is changed", () => {
    const target = Object.freeze({ a: Object.freeze({ b: 1 }) });
    const patch = Object.freeze({ a: Object.freeze({ c: 2 }) });
    expect(applyPatch(target, patch)).toEqual({ a: { b: 1, c: 2 } });
    expect(target).toEqual({ a: { b: 1 } });
  });

  test("a key named __proto__ is a key and nothing else", () => {
    const result = applyPatch({}, JSON.parse('{"__proto__":{"polluted":true}}'));
    expect(Object.keys(result as object)).toEqual(["__proto__"]);
    expect(({} as Record<string, unknown>)["polluted"]).toBeUndefined();
  });
});

/** JSON without nulls, as views are. */
const json = fc.letrec<{ value: unknown }>((tie) => ({
  value: fc.oneof(
    { depthSize: "small" },
    fc.string({ maxLength: 4 }),
    fc.integer(),
    fc.boolean(),
    fc.array(tie("value"), { maxLength: 3 }),
    fc.dictionary(fc.constantFrom("a", "b", "c", "order", "__proto__"), tie("value"), { maxKeys: 4 }),
  ),
})).value;

describe("the smallest patch", () => {
  test("turns any view into any other", () => {
    let changed = 0;
    fc.assert(
      fc.property(json, json, (from, to) => {
        const patch = makePatch(from, to);
        if (patch === undefined) expect(to).toEqual(from);
        else {
          changed += 1;
          expect(JSON.stringify(sorted(applyPatch(from, patch)))).toEqual(JSON.stringify(sorted(to)));
        }
      }),
      { seed: 7396, numRuns: 2000 },
    );
    expect(changed).toBeGreaterThan(1000);
  });

  test("is nothing at all where nothing has changed", () => {
    expect(makePatch({ a: { b: [1, { c: 2 }] } }, { a: { b: [1, { c: 2 }] } })).toBeUndefined();
  });

  test("leaves out what stays: only the new exchange travels", () => {
    const from = { exchanges: { x1: { no: 1 } }, order: ["x1"], evening: "Thursday at Millrace" };
    const to = { ...from, exchanges: { x1: { no: 1 }, x2: { no: 2 } }, order: ["x1", "x2"] };
    expect(makePatch(from, to)).toEqual({ exchanges: { x2: { no: 2 } }, order: ["x1", "x2"] });
  });

  test("takes away what is gone", () => {
    expect(makePatch({ a: 1, bout: { id: "b" } }, { a: 1 })).toEqual({ bout: null });
  });
});

function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== "object" || value === null) return value;
  return Object.entries(value)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([key, each]) => [key, sorted(each)]);
}
