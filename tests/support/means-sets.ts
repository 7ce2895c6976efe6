/** Rule sets of conditions that look back, sums, effects on one rule and limits for both; and bouts that have what they ask. */
import type { RuleSet } from "../../rules/language/tree.ts";
import type { BoutSheet, Call, SheetLine } from "../../rules/record.ts";
import { SIDES } from "../../rules/vocabulary.ts";
import { type Random, randomBout, ruleSetOf } from "./random-bouts.ts";

const TEXTS: readonly string[] = [
  `
name: Looking back
words: {praise: a call}
bout: {ends: after 2 min, doubles: both score}
touches: {I hit: 1}
rules:
  - {name: Hit, when: I hit cleanly, pays: 1 bonus to me}
  - {name: Missed before, when: I hit, if: in the last exchange I do not score, pays: 1 bonus to me}
  - {name: They scored, when: I parry, if: in the last exchange they score, pays: 1 bonus to me}
  - {name: No double before, when: I void, if: in the last exchange it is not a double, pays: 1 bonus to me}
  - {name: No feint before, when: I bind, if: in the last exchange they never feint, pays: 2 bonus to me}
  - {name: Twice of three, when: I hit, if: in 2 or more of the last 3 exchanges I parry, pays: 1 bonus to me}
  - {name: Seldom, when: I feint, if: in 1 or less of the last 4 exchanges they do not score, pays: 1 bonus to me}
  - {name: Praised, when: I parry, if: in 1 of the last 3 exchanges the judge calls praise for me, pays: 1 bonus to me}
  - {name: Paid twice, when: I withdraw, if: 'in 2 or more of the last 5 exchanges "Hit" pays me', pays: 3 bonus to me}
  - {name: Unpaid, when: I hit, if: '"Hit" did not pay me in the last exchange', pays: 0.5 bonus to me}
  - {name: Two of three, if: 2 or more of I feint; they miss; I am behind, pays: 1 bonus to me}
  - {name: None of three, when: I hit, if: none of I feint; they miss; I am behind, pays: 1 bonus to me}
  - {name: Later, when: I hit, if: it is exchange 3 or more, pays: 1 bonus to me}
  - {name: Gone, when: I hit, if: 60 s or more are gone, pays: 1 bonus to me}
  - {name: Quick, when: I hit, if: it lasts 5 s or less, pays: 1 bonus to me}
  - {name: Slow, when: I parry, unless: it lasts 12 s or less, pays: 1 bonus to me}
`,
  `
name: Sums
marks:
  blots: {is: a count for each fencer, changes: [up 1 when they hit, to 0 when I parry]}
  pot: {is: a count for the bout, changes: [up 1 times my touch when I hit, to 0 when I withdraw]}
  worth: {is: a count for each fencer, changes: [up 2 times my touch when I hit cleanly, down 1 when I void]}
  here: {is: a count for each fencer in each exchange, changes: [up 1 when I parry, up 1 when I void]}
  paid: {is: a count for each fencer, changes: ['up 1 times my touch when "Twofold" pays me']}
bout: {doubles: both score, afterblows: take off 1}
touches: {I hit: 1, I hit the head: 3}
rules:
  - {name: Warned, when: I bind, does: warn them}
  - {name: Together, when: I hit, if: my blots plus my warnings is 3 or more, pays: 1 bonus to me}
  - {name: One more, when: I parry, if: my blots is more than their blots plus 1, pays: 1 bonus to me}
  - {name: Not two, when: I feint, if: my blots is not 2 now, pays: 1 bonus to me}
  - {name: Heavy, if: my touch is 2 or more, pays: 1 bonus to me}
  - {name: Twofold, when: I hit, pays: 0.5 bonus to me times my touch}
  - {name: Pot, when: I void, pays: 1 bonus to me times the pot now}
  - {name: Rest, when: I withdraw, pays: 1 bonus to me times my worth minus their worth minus 1}
  - {name: Here, if: my here is 2 or more, pays: 1 bonus to me}
  - {name: Penal, when: I hit, if: my penalties is more than theirs, pays: -1 bonus to me}
  - {name: Doubles, if: "it is a double, and the doubles is 2 or more now", pays: -0.5 bonus to me}
  - {name: Fresh, when: I parry, if: the exchanges minus the doubles is 2 or less, pays: 1 bonus to me}
  - {name: Ahead, when: I void, if: my points plus my bonus is more than theirs, pays: -1 bonus to me}
  - {name: Saved, when: I feint, if: my paid is 3 or more, pays: 1 bonus to me}
`,
  `
name: Effects on one
bout: {doubles: both score}
touches: {I hit: 1, I hit the head: 2}
rules:
  - {name: Parry, when: I parry, pays: 1 bonus to me}
  - {name: Feint, when: I feint, pays: 2 bonus to me}
  - {name: Extra, when: I riposte and hit, pays: 1 point to me}
  - {name: Both, when: I hit, pays: 1 bonus to us both}
  - {name: Often, if: it is a double, pays: 0.5 bonus to us both times my touch}
  - {name: Team, when: I void, pays: 1 bonus to their team}
  - {name: Gone, when: they bind, does: annul my bonus from "Parry"}
  - {name: More, when: I hit with a thrust, does: multiply my points and bonus by 1.5}
  - {name: Twice, when: I withdraw, does: double my bonus from "Feint"}
  - {name: Over, when: they withdraw, does: turn my points over to them}
  - {name: Over one, when: they void, does: turn my bonus from "Feint" over to them}
  - {name: Shared, when: I hit cleanly, pays: 2 bonus to me, at most: 3 bonus a bout for us both}
  - {name: First, when: I hit the leg, pays: 1 bonus to me, at most: once a bout for us both}
  - {name: Little, when: I miss, pays: 1 bonus to me, at most: 1 bonus an exchange for us both}
  - {name: Later, when: I bind, does: "hold my bonus for 2 exchanges, lost if they hit the head"}
  - {name: Latest, when: I void, does: hold my bonus for 3 exchanges}
`,
];

export const MEANS_SETS: readonly RuleSet[] = TEXTS.map((text) => ruleSetOf(text));

/** A random bout with a running down clock, calls, and now and then a penalty hit. */
export function randomMeansBout(random: Random, exchanges: number): BoutSheet {
  let left = 120;
  return randomBout(random, exchanges).flatMap((line): SheetLine[] => {
    if (line.type !== "exchange") return [line];
    left = Math.max(1, left - random.below(16));
    const calls: Call[] = SIDES.flatMap((side) =>
      line.how !== "no exchange" && random.chance(0.25) ? [{ call: "praise", for: side }] : [],
    );
    const penalty: SheetLine[] = random.chance(0.08) ? [{ type: "penalty", side: random.pick(SIDES) }] : [];
    return [...penalty, { ...line, left, ...(calls.length > 0 ? { calls } : {}) }];
  });
}
