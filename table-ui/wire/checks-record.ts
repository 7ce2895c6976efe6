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

// eslint-disable-next-line no-control-regex -- control characters are exactly what is refused
const CONTROL = /[\u0000-\u001f\u007f]/;
const line = (most: number): z.ZodString =>
  z
    .string()
    .min(1)
    .max(most)
    .refine((text) => !CONTROL.test(text), "must not hold control characters") as z.ZodString;

/** A word of the lexicon or a name in a rule set. */
export const word = line(80).refine((text) => !RESERVED.has(text), "is a reserved name");
/** A spoken reason. */
export const reason = line(300);
/** A name of a person, ring or evening. */
export const title = line(80);
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

export const record: z.ZodType<RecordedExchange> = z.strictObject({
  how: z.enum(MANNERS_OF_EXCHANGE).exactOptional(),
  acts: z.array(act).max(24),
  open: z.union([z.boolean(), words]),
  left: seconds.exactOptional(),
  calls: z.array(call).max(8).exactOptional(),
  picks: z
    .record(word, word)
    .refine((picks) => Object.keys(picks).length <= 8, "must hold 8 picks at most")
    .exactOptional(),
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
