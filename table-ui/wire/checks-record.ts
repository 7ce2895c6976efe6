/** Checks for what is recorded: acts, exchanges, facts. Sizes are bounded so that one message cannot fill a hall's ledger. */
import { z } from "zod";
import { ENDS, MANNERS_OF_EXCHANGE, SIDES, type Act, type Call, type Fact } from "../../rules/index.ts";
import type { RecordedExchange } from "../../engine/index.ts";

/** Names that plain objects own already: as a key they would reach the prototype. */
const RESERVED = new Set(["__proto__", "prototype", "constructor"]);

/** An id: a nanoid or a short name; it becomes a key of views. */
export const id = z
  .string()
  .regex(/^[A-Za-z0-9_-]{1,64}$/, "must be 1 to 64 letters, digits, _ or -")
  .refine((text) => !RESERVED.has(text), "is a reserved name");

/** Control characters and line ends (not every ledger can store them) and halves of characters (no file keeps them). */
// eslint-disable-next-line no-control-regex -- control characters are exactly what is refused
const NO_TEXT = /[\u0000-\u001f\u007f-\u009f\u2028\u2029]|\p{Surrogate}/u;
/** Marks that turn the direction of what follows: a name would reorder the line that it stands in (Unicode, UAX #9). */
const TURNS = /[\u202a-\u202e\u2066-\u2069]/u;
/** Something to be seen: not only spaces, joiners and other characters without a shape. */
const SEEN = /[^\p{White_Space}\p{Default_Ignorable_Code_Point}]/u;

/** [W34] One line of text that somebody wrote; empty only where `least` is 0. */
const line = (most: number, least = 1): z.ZodString =>
  z
    .string()
    .max(most, `must have at most ${most} characters`)
    .refine((text) => !NO_TEXT.test(text), "must not hold control characters")
    .refine((text) => !TURNS.test(text), "must not hold marks that turn the direction of writing")
    .refine(
      (text) => (least === 0 && text === "") || SEEN.test(text),
      "must hold something that can be seen",
    ) as z.ZodString;

/** A word of the lexicon or a name in a rule set. */
export const word = line(80).refine((text) => !RESERVED.has(text), "is a reserved name");
/** A spoken reason. */
export const reason = line(300);
/** A name of a person, ring or evening. */
export const title = line(80);
/** The same, shorter; empty where somebody has none. */
export const shortTitle = line(40, 0);
export const hash = z.string().regex(/^[0-9a-f]{64}$/, "must be a SHA-256 in hex");

export const side = z.enum(SIDES);
const seconds = z.number().min(0).max(36_000);
const words = z.array(word).max(16);
/** Every kind of action that a word list has, at most. */
const kinds = z.array(word).max(200);

export const act: z.ZodType<Act> = z.strictObject({
  id: id.exactOptional(),
  by: z.enum([...SIDES, "both"]),
  kind: word.exactOptional(),
  form: word.exactOptional(),
  blow: word.exactOptional(),
  direction: word.exactOptional(),
  edge: word.exactOptional(),
  hand: word.exactOptional(),
  footwork: word.exactOptional(),
  from: words.exactOptional(),
  target: word.exactOptional(),
  manners: words.exactOptional(),
  not: words.exactOptional(),
  end: z.enum(ENDS).exactOptional(),
  for: seconds.exactOptional(),
  after: seconds.exactOptional(),
  source: word.exactOptional(),
});

export const call: z.ZodType<Call> = z.strictObject({
  call: word,
  for: side,
  value: z.number().min(-1000).max(1000).exactOptional(),
  reason: reason.exactOptional(),
  source: word.exactOptional(),
  assent: word.exactOptional(),
});

const isProto = (given: unknown): boolean =>
  typeof given === "object" && given !== null && Object.hasOwn(given, "__proto__");

/** A record passes over a key "__proto__" without a word; what is refused must be said. */
const picks = z
  .unknown()
  .refine((given) => !isProto(given), '"__proto__" is a reserved name')
  .pipe(z.record(word, word))
  .refine((given) => Object.keys(given).length <= 8, "must hold 8 picks at most");

export const record: z.ZodType<RecordedExchange> = z.strictObject({
  how: z.enum(MANNERS_OF_EXCHANGE).exactOptional(),
  acts: z.array(act).max(24),
  open: z.union([z.boolean(), words]),
  left: seconds.exactOptional(),
  calls: z.array(call).max(8).exactOptional(),
  picks: picks.exactOptional(),
});

const ATTRIBUTE_KEYS = [
  "kind",
  "form",
  "blow",
  "direction",
  "edge",
  "hand",
  "footwork",
  "from",
  "target",
  "manner",
  "end",
  "for",
  "after",
] as const;

export const fact: z.ZodType<Fact> = z.discriminatedUnion("fact", [
  z.strictObject({
    fact: z.literal("attribute"),
    act: id,
    key: z.enum(ATTRIBUTE_KEYS),
    value: word,
    not: z.boolean().exactOptional(),
  }),
  z.strictObject({
    fact: z.literal("end"),
    act: id,
    end: z.enum(["hit", "miss", "fall short", "no hit"]),
  }),
  z.strictObject({ fact: z.literal("happened"), act, before: id.exactOptional() }),
  z.strictObject({ fact: z.literal("nothing else"), kinds: kinds.exactOptional(), by: side.exactOptional() }),
  z.strictObject({ fact: z.literal("weaker"), side: z.enum([...SIDES, "nobody"]) }),
  z.strictObject({ fact: z.literal("how"), how: z.enum([...MANNERS_OF_EXCHANGE, "plain"]) }),
  z.strictObject({ fact: z.literal("left"), seconds }),
  z.strictObject({ fact: z.literal("call"), call }),
  z.strictObject({ fact: z.literal("pick"), pick: word, side: side.exactOptional(), value: word }),
]);

export const facts = z.array(fact).max(24);
