/** Rule sets whose bouts go otherwise than as usual, and random bouts with warnings and penalty hits. */
import type { BoutSheet, SheetLine } from "../../rules/record.ts";
import { SIDES } from "../../rules/vocabulary.ts";
import { type Random, randomBout, ruleSetOf } from "./random-bouts.ts";

const TEXTS: readonly string[] = [
  `
name: Points against
bout: {wins: who has fewer points against, ends: [at 7 points, after 6 exchanges], ties: who hit last, doubles: the difference scores, afterblows: the difference scores}
touches: {I hit the head: 3, I hit the torso: 2, I hit: 1}
rules:
  - {name: Ahead, when: I parry, if: I am ahead, pays: 1 bonus to me}
  - {name: Press, when: "I parry, then I hit", does: double my points}
  - {name: Away, when: they withdraw, does: annul their points}
  - {name: Out, when: I void, pays: 1 point to me, not below: 0}
`,
  `
name: Spread
bout: {ends: [at 4 points and 2 ahead, at 6 points], ties: who hit first, doubles: 1 off each at every 2 doubles, afterblows: the difference scores but leave 1}
touches: {I hit the head or torso: 2, I hit: 1}
rules:
  - {name: Behind, when: I hit, if: I am behind by 2 or more, pays: 1 point to me}
`,
  `
name: Bonus decides
bout: {wins: who has more bonus, ends: [at 3 bonus, "at 2 doubles, both lose"], ties: "fewer slips, then more points won, then fewer warnings, then who hit first", simultaneous: both score}
marks:
  slips: {is: a count for each fencer, changes: up 1 when I void}
  points won: {is: a count for each fencer, changes: up 1 when I score}
touches: {I hit: 1}
rules:
  - {name: Answer, when: "I parry, then I hit", pays: 1 bonus to me}
  - {name: Feint, when: "I feint, then I hit", pays: 1 bonus to me}
  - {name: Fright, when: I withdraw, does: warn me}
`,
  `
name: Roles
bout: {ends: after 7 exchanges, ties: fewer penalties, afterblows: "take off 1, only of the defender", doubles: both score, limits: 6 points a fencer}
marks:
  sides: {is: roles attacker and defender for the bout, starts: with blue, changes: changes hands after every 2 exchanges}
touches: {I hit the head: 3, I hit: 1}
rules:
  - {name: Bold, when: "I feint, then I hit", pays: 1 point to me}
`,
  `
name: Nobody
bout: {wins: nobody, ends: [at 3 points, "at 2 doubles, both lose"], afterblows: "both score, only of the attacker"}
marks:
  sides: {is: roles attacker and defender for the bout, starts: with red, changes: changes hands after every 3 exchanges}
touches: {I hit: 1}
rules:
  - {name: Answer, when: "I parry, then I hit", pays: 1 bonus to me}
`,
];

export const BOUT_SETS = TEXTS.map(ruleSetOf);

/** A bout of fully recorded exchanges with a warning or a penalty hit now and then between them. */
export const randomOwnBout = (random: Random, exchanges: number): BoutSheet =>
  randomBout(random, exchanges).flatMap((line): SheetLine[] => {
    const given: SheetLine[] = [];
    if (random.chance(0.08)) given.push({ type: "penalty", side: random.pick(SIDES) });
    if (random.chance(0.08)) given.push({ type: "warning", side: random.pick(SIDES) });
    return [...given, line];
  });
