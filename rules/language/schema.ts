/** The envelope of a rule set as JSON Schema 2020-12, made from the same list of keys as the reader. */
import { KEYS, neededOf, type Holds, type Key, type Keys } from "./keys.ts";
import { LONGEST_NAME, LONGEST_SENTENCE, MOST_ENTRIES } from "./limits.ts";

/** A JSON Schema, or a part of one. */
export interface Schema {
  readonly [keyword: string]: unknown;
}

const ref = (name: keyof typeof PIECES): Schema => ({ $ref: `#/$defs/${name}` });

/** One line, without double quotes, control characters and lone halves of a character; white space folds. */
const ONE_LINE = String.raw`^\s*(?!__)(?:[^\s"\p{Cc}\p{Cs}\u202a-\u202e\u2066-\u2069]\s*)+$`;
/** As the reader takes a number; YAML for programs makes a number of the same letters. */
const NUMBER = String.raw`^\s*[-+]?\d{1,6}(\.\d{1,3})?\s*$`;
const LARGEST = 999_999.999;

/** What stands beside a key again and again. */
const PIECES = {
  title: {
    description: 'A text on one line, without double quotes. A name like "7" may be written as a number.',
    type: ["string", "number", "boolean"],
    pattern: ONE_LINE,
    maxLength: LONGEST_NAME,
  },
  sentence: {
    description: "One sentence of the rule language.",
    type: "string",
    pattern: String.raw`\S`,
    maxLength: LONGEST_SENTENCE,
  },
  sentences: {
    description: "One sentence of the rule language, or a list of them.",
    anyOf: [
      { $ref: "#/$defs/sentence" },
      { type: "array", items: { $ref: "#/$defs/sentence" }, maxItems: MOST_ENTRIES },
    ],
  },
  values: {
    description: "One value, or a list of them, each once.",
    anyOf: [
      { $ref: "#/$defs/title" },
      { type: "array", items: { $ref: "#/$defs/title" }, uniqueItems: true, maxItems: MOST_ENTRIES },
    ],
  },
  number: {
    description: "A number in digits.",
    type: ["number", "string"],
    minimum: -LARGEST,
    maximum: LARGEST,
    pattern: NUMBER,
  },
} as const satisfies Readonly<Record<string, Schema>>;

function schemaOf(holds: Holds): Schema {
  switch (holds.is) {
    case "one of":
      return { enum: holds.values };
    case "group":
      return groupOf(holds.keys);
    case "list":
      return { type: ["array", "null"], items: groupOf(holds.keys), maxItems: MOST_ENTRIES };
    case "own keys":
      return {
        type: ["object", "null"],
        propertyNames: ref(holds.of === "names" ? "title" : "sentence"),
        additionalProperties: schemaOf(holds.each),
        maxProperties: MOST_ENTRIES,
      };
    default:
      return ref(holds.is);
  }
}

const isOneValue = ({ is }: Holds): boolean =>
  is === "title" || is === "sentence" || is === "sentences" || is === "number" || is === "one of";

const keyOf = ({ title, says, holds, example }: Key): Schema => ({
  title,
  description: says,
  ...schemaOf(holds),
  ...(isOneValue(holds) ? { examples: [holds.is === "number" ? Number(example) : example] } : {}),
});

/** A group may be left empty where no key of it is needed. */
function groupOf(keys: Keys): Schema {
  const required = neededOf(keys).map(([key]) => key);
  return {
    type: required.length === 0 ? ["object", "null"] : "object",
    properties: Object.fromEntries(Object.entries(keys).map(([name, key]) => [name, keyOf(key)])),
    ...(required.length === 0 ? {} : { required }),
    additionalProperties: false,
  };
}

/**
 * The JSON Schema of a rule set's envelope: its keys and what each holds. The sentences themselves are for the reader.
 * Keys and closed values stand in small letters, as they are printed.
 */
export const envelopeSchema = (): Schema => ({
  $schema: "https://json-schema.org/draft/2020-12/schema",
  $id: "urn:garland:rule-set",
  title: "A Garland rule set",
  description:
    "The keys of a rule set and what each may hold. Whether a sentence can be read is for the reader: garland check.",
  ...groupOf(KEYS),
  $defs: PIECES,
});
