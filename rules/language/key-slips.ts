/** What coaches write for a key: other words for it, keys that belong elsewhere, and remarks that are no keys. */
import { BOUT_KEYS, KEYS, MARK_KEYS, PICK_KEYS, RULE_KEYS, type Keys } from "./keys.ts";

/** For each key the words that are written for it, with an example of its own where the usual one would mislead. */
const OTHERS: readonly (readonly [key: string, words: string, example?: string])[] = [
  ["touches", "points|scores|scoring|targets|hits|values|touch|valuations"],
  ["rules", "rule|bonuses|bonus rules|specials|themes"],
  ["weapon", "weapons|sword|style|school"],
  ["bout", "match|fight|game|combat|assault"],
  ["words", "word|vocabulary|terms|own words|lexicon"],
  ["phrases", "phrase|theme|sequences|definitions"],
  ["picks", "pick|cards|secrets|choices|draws"],
  ["marks", "mark|counters|state|variables|counts|flags|memory"],
  ["name", "title|id|label|called"],
  // Of a rule
  ["pays", "pay|gives|give|gets|get|then|award|awards|reward|points|bonus|score|scores|worth|value|payment"],
  ["at most", "max|maximum|limit|limits|cap|up to|times|no more than"],
  ["not below", "min|minimum|floor|not under|at least"],
  ["unless", "except|but not|if not|not|without|not if"],
  ["if", "condition|conditions|provided|where|only if|and"],
  ["when", "trigger|phrase|rule|action|sequence|who|what|description of"],
  ["does", "effect|effects|do"],
  ["watch", "judge|watcher|seen by|watched by|referee|who watches"],
  ["best of", "group|one of|either"],
  // Of the bout
  ["ends", "time|duration|length|time limit|minutes", "after 3 min"],
  ["ends", "to|first to|score|points|end|finish|target|max|limit", "at 5 points"],
  ["doubles", "double|double hits|double hit"],
  ["afterblows", "afterblow|after blow|after blows"],
  ["ties", "tie|tie break|tiebreak|tie breaker|overtime|draw"],
  ["wins", "winner|win|won by"],
  ["clock", "timer"],
  ["panel", "judges|judging|judge|referee"],
  ["starts", "start|begins|handicap|initial"],
  ["halt", "halts|stops|stop"],
  // Of a pick
  ["from", "values|options|choices|cards|list|of|among"],
  ["by", "who|chooser|picker|chosen by|picked by"],
  ["when", "time|moment|at"],
  ["seen by", "visible|visible to|seen|known to|hidden from"],
  ["shown", "reveal|revealed|show|visible at"],
  // Of a mark
  ["is", "type|kind|what|for|of"],
  ["starts", "start|initial|default|begins|begins at|value"],
  ["changes", "change|when|updates|on|rules|up|down"],
];

/** Meant for whoever reads the file. */
const REMARKS: ReadonlySet<string> = new Set(
  "description|comment|comments|note|notes|remark|author|version|date|club|source|by".split("|"),
);

export interface KeySlip {
  readonly key: string;
  readonly example: string;
}

const exampleOf = (key: string, keys: readonly string[]): string => {
  const lists: readonly Keys[] = [KEYS, RULE_KEYS, BOUT_KEYS, PICK_KEYS, MARK_KEYS];
  return lists.find((list) => Object.keys(list).join() === keys.join())?.[key]?.example ?? "...";
};

/** The key of this group that is meant by another word. */
export function meantKey(written: string, keys: readonly string[]): KeySlip | undefined {
  const word = written.trim().toLowerCase();
  const found = OTHERS.find(([key, words]) => keys.includes(key) && words.split("|").includes(word));
  return found && { key: found[0], example: found[2] ?? exampleOf(found[0], keys) };
}

export const isRemark = (written: string): boolean => REMARKS.has(written.trim().toLowerCase());

const PLACES: readonly (readonly [keys: Keys, place: string])[] = [
  [RULE_KEYS, `to a rule: write it under the rule's "- name:", with the same indent as "name"`],
  [BOUT_KEYS, `under "bout": indent it by two spaces there`],
  [KEYS, `at the top of the file, without spaces in front`],
  [MARK_KEYS, `to a mark, under its name`],
  [PICK_KEYS, `to a pick, under its name`],
];

/** Where a key belongs that is a key of another group. */
export const belongs = (written: string): string | undefined => {
  const word = written.trim().toLowerCase();
  return PLACES.find(([keys]) => Object.hasOwn(keys, word))?.[1];
};
