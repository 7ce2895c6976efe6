/** Every message about the file itself: its YAML, its keys, its shape. */
import type { Message } from "./faults.ts";
import { listed } from "./faults-sentence.ts";
import { RULE_KEYS } from "./keys.ts";
import { belongs, isRemark, meantKey } from "./key-slips.ts";
import { nearest } from "./spelling.ts";

const say = (code: string, text: string, cure?: string): Message =>
  cure === undefined ? { code, text } : { code, text, cure };

export const tooBig = (kilobytes: number): Message =>
  say("too-big", `A rule set may have ${String(kilobytes)} kB. This file is larger: it cannot be one.`);
export const tooMany = (what: string, most: number): Message =>
  say("too-many", `A rule set may have ${String(most)} ${what}. Split it into several rule sets.`);
export const tooDeep = (): Message =>
  say("not-yaml", "Lists and keys are nested too deeply here. A rule set needs three levels.");

export const noAliases = (): Message =>
  say("no-aliases", "A rule set uses no anchors, aliases and tags. Write the text out.");
export const noMerge = (): Message => say("no-merge", `A rule set has no "<<" key. Write the keys out.`);
export const noDirectives = (): Message =>
  say("no-directives", "A rule set begins with its keys. Leave out the line that begins with %.");

export const emptyFile = (): Message =>
  say("empty-file", `There is no rule set here. Begin with "name: ..." and "touches:".`);

export const sheetsHere = (): Message =>
  say("sheets-key", `A rule set has no "sheets". Bout sheets are files of their own.`);

export function unknownKey(key: string, of: string, keys: readonly string[]): Message {
  const meant = meantKey(key, keys);
  const near = meant === undefined ? nearest(key.toLowerCase(), keys, 3) : undefined;
  const place = belongs(key);
  const starts = `"${key}" is not a key of ${of}.`;
  if (meant)
    return say(
      "unknown-key",
      `${starts} Write "${meant.key}"${/^[{[]/.test(meant.example) && meant.key !== "from" ? "" : `, as in "${meant.key}: ${meant.example}"`}.`,
      meant.key,
    );
  if (near !== undefined) return say("unknown-key", `${starts} Did you mean "${near}"?`, near);
  if (place !== undefined) return say("unknown-key", `"${key}" does not stand here. It belongs ${place}.`);
  if (isRemark(key)) return say("unknown-key", `${starts} Put what is for readers only behind a "#".`);
  if (/^(?:I|they|we both)\b/iu.test(key))
    return say("unknown-key", `${starts} If it is a touch, indent it by two spaces under "touches:".`);
  return say("unknown-key", `${starts} Known here: ${keys.join(", ")}.`);
}
export const keyTwice = (key: string): Message =>
  say("duplicate-key", `"${key}" stands here twice. Keep one.`);
export const missingKey = (key: string, of: string, example: string): Message =>
  say("missing-key", `${of} needs "${key}", as in "${key}: ${example}".`);

export const wantsText = (what: string): Message =>
  say("wants-text", `One sentence belongs here (${what}), not a list or more keys.`);
export const wantsList = (what: string): Message =>
  say(
    "wants-text",
    `Sentences belong here (${what}): one beside the key, or a list of them with "- " in front, without { }.`,
  );
/** `written`: what stands there instead of keys. */
export function wantsKeys(what: string, example: string, written: "a list" | string): Message {
  if (written === "a list")
    return say("wants-keys", `No list stands here, but keys under ${what}, as in "${example}".`);
  const pair = /^(.*?[^\s=>-])\s*(?:=|->|=>|\s-|\s)\s*(\d+)$/u.exec(written);
  if (pair && what === "touches")
    return say("wants-keys", `Put a colon before the number: "${pair[1] ?? ""}: ${pair[2] ?? ""}".`);
  return say("wants-keys", `Keys belong under ${what}, as in "${example}".`);
}
/** `key`: the first key that stands there instead. */
export function wantsRules(key: string | undefined): Message {
  if (key === undefined) return say("wants-rules", `"rules" is a list; each rule begins with "- name: ...".`);
  const text = Object.hasOwn(RULE_KEYS, key.trim().toLowerCase())
    ? `put "- name:" first, and all other keys of the rule right under "name".`
    : `write "- name: ${key}" for "${key}:", and all keys of the rule right under "name".`;
  return say("wants-rules", `"rules" is a list: ${text}`);
}
export const namelessRule = (): Message =>
  say(
    "missing-key",
    `A rule needs "name", as in "name: ${RULE_KEYS.name.example}". If this belongs to the rule above, leave the "-" out.`,
  );
const NUMBERS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
/** The number that somebody wrote as a word, with its unit, or with a comma. */
function numberIn(text: string): string | undefined {
  const word = NUMBERS.indexOf(text.toLowerCase().split(" ")[0] ?? "");
  const digits = /^\+?(-?\d{1,4})(?:[.,](\d{1,2}))?(?: ?(?:points?|pts?\.?|bonus|p))?$/iu.exec(text);
  if (word >= 0) return String(word);
  return digits ? `${digits[1] ?? ""}${digits[2] === undefined ? "" : `.${digits[2]}`}` : undefined;
}
export const wantsNumber = (text: string, what: string): Message =>
  say("wants-number", `"${text}" is not a number. Write ${numberIn(text) ?? what}.`, numberIn(text));
export const noName = (what: string): Message =>
  say("no-name", `${what} needs a name of at least one word beside "a", "an" and "the".`);
export const underscores = (name: string): Message =>
  say("bad-name", `"${name}" cannot be a name: begin it with a letter or a number.`);
export const badName = (name: string): Message =>
  say("bad-name", `"${name}" cannot be a name: use one line without double quotes.`);
/** `name`: without the marks, as it can be written. */
export const nameTurns = (name: string): Message =>
  say(
    "bad-name",
    `The name "${name}" holds hidden marks that turn the direction of writing: delete it and type it anew.`,
  );

/** Weapons by other names; what is fenced for points in the sport is one lexicon. */
const WEAPONS_TOO: Readonly<Record<string, string>> = {
  "long sword": "longsword",
  langschwert: "longsword",
  "langes schwert": "longsword",
  "two-handed sword": "longsword",
  "side sword": "sidesword",
  "spada da lato": "sidesword",
  seitschwert: "sidesword",
  saber: "sabre",
  säbel: "sabre",
  sciabola: "sabre",
  broadsword: "sabre",
  backsword: "sabre",
  rapière: "rapier",
  rapiere: "rapier",
  "small sword": "smallsword",
  "court sword": "smallsword",
  epee: "sport",
  épée: "sport",
  foil: "sport",
  fleuret: "sport",
  florett: "sport",
};
export const notAWeapon = (text: string, known: readonly string[]): Message => {
  const meant = WEAPONS_TOO[text.toLowerCase()];
  const several = known.filter((one) => text.toLowerCase().includes(one));
  if (meant !== undefined) return say("unknown-word", `"${text}" is "${meant}" here.`, meant);
  if (several.length > 1)
    return say(
      "unknown-word",
      `One weapon only: write ${listed(several)}, or leave the line out to have the words of all.`,
    );
  return notA(text, "a weapon known here", known);
};

export const notA = (text: string, what: string, known: readonly string[]): Message => {
  const near = nearest(text.toLowerCase(), known);
  return say(
    "unknown-word",
    `"${text}" is not ${what}.${near === undefined ? ` Write ${listed(known, 12)}.` : ` Did you mean "${near}"?`}`,
    near,
  );
};
