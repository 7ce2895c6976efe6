import { compile } from "../../rules/award/compile.ts";
import { chips, draftLine, draftStart, press } from "../../rules/award/plan-draft.ts";
import type { Chip, Draft } from "../../rules/award/plan-read.ts";
import { pressPlan, type PressPlan } from "../../rules/award/plan.ts";
import { scoreBout } from "../../rules/award/score.ts";
import type { Tally } from "../../rules/award/tally.ts";
import { formatFaults } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import type { BoutSheet } from "../../rules/record.ts";

export function planOf(text: string): PressPlan {
  const outcome = readRuleSet(text, "test.yaml");
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return pressPlan(compile(outcome.value));
}

export const labels = (plan: PressPlan): readonly string[] =>
  plan.hits.red.map((key) => `${key.label} ${key.worth}`);
export const neither = (plan: PressPlan): readonly string[] => plan.neither.map((key) => key.id);

/** Presses one after the other; chips by "red: NAME OF THE RULE". */
export function presses(
  plan: PressPlan,
  keys: readonly string[],
  before: BoutSheet = [],
  left?: number,
): Draft {
  return keys.reduce((draft, key) => press(draft, idOf(plan, key)), draftStart(plan, before, left));
}
export function idOf(plan: PressPlan, key: string): string {
  const [side, name] = key.split(": ");
  if (name === undefined) return key;
  const chip = plan.chips.find((one) => one.side === side && one.rule === name);
  const hit = [...plan.hits.red, ...plan.hits.blue].find((one) => one.side === side && one.label === name);
  const id = chip?.id ?? hit?.id;
  if (id === undefined) throw new Error(`no key ${key}`);
  return id;
}

export const chip = (draft: Draft, key: string): Chip => {
  const found = chips(draft).find((one) => one.id === idOf(draft.plan, key));
  if (found === undefined) throw new Error(`no chip ${key}`);
  return found;
};
export const state = (draft: Draft, key: string): string => chip(draft, key).state;

/** The bout after Enter. */
export const entered = (draft: Draft, no = 1): Tally =>
  scoreBout(draft.plan.scorer, [...draft.before, draftLine(draft, no)]);
export const score = (tally: Tally): string =>
  `points ${tally.points.red}-${tally.points.blue} bonus ${tally.bonus.red}-${tally.bonus.blue} open ${tally.open}`;

export const TOUCHES = `touches:
  I hit the head: 3
  I hit the torso: 2
  I hit the arm or leg: 1
`;

export const ANSWER = `name: Answer from above
weapon: longsword
phrases:
  cue: I strike to the head with a descending cut
bout:
  ends:
    - after 10 exchanges
    - at 3 doubles, both lose
  afterblows: take off 1
${TOUCHES}rules:
  - name: Parry and riposte
    when: they make the cue, then I parry, then I riposte and hit
    pays: 2 bonus to me
    at most: 6 bonus a bout
  - name: Gave the cue
    when: I make the cue
    pays: 1 bonus to me
`;
export const answer = planOf(ANSWER);
