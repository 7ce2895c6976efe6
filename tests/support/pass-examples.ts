/** Small bouts that show one pass of the scoring each; the passes are also taken out one by one to see that they do. */
export interface PassExample {
  readonly pass: string;
  readonly says: string;
  readonly rules: string;
  readonly bout: string;
  readonly gives: string;
}

/** One for each pass, in the order of effects [P10]. */
export const PASS_EXAMPLES: readonly PassExample[] = [
  {
    pass: "touches",
    says: "a fencer's best line counts, once an exchange",
    rules: "touches: {I hit: 1, I hit the head: 3}",
    bout: "1 R cut arm !, R cut head ! .",
    gives: "points 3-0 bonus 0-0",
  },
  {
    pass: "doubles",
    says: "1 off each: touches in a double score nothing and each loses 1",
    rules: "bout: {doubles: 1 off each}\ntouches: {I hit: 2}",
    bout: "1 double R cut head !, B cut head ! .",
    gives: "points -1--1 bonus 0-0",
  },
  {
    pass: "doubles",
    says: "simultaneous: touches score nothing unless the rule set says so",
    rules: "touches: {I hit: 2}",
    bout: "1 simultaneous R cut head !, B cut arm ! .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "take off 1: the hit loses 1, the afterblow itself scores nothing [S12]",
    rules: "bout: {afterblows: take off 1}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 1-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "take off 1 but leave 1",
    rules: "bout: {afterblows: take off 1 but leave 1}\ntouches: {I hit: 1}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 1-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "annul the hit: neither scores",
    rules: "bout: {afterblows: annul the hit}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "score nothing: the afterblow counts for nothing, the hit in full",
    rules: "bout: {afterblows: score nothing}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 2-0 bonus 0-0",
  },
  {
    pass: "afterblows",
    says: "half to the second",
    rules: "bout: {afterblows: half to the second (2 to 1)}\ntouches: {I hit: 2}",
    bout: "1 R cut head !, B afterblow arm .",
    gives: "points 2-1 bonus 0-0",
  },
  {
    pass: "rules",
    says: "a rule is tried for each fencer as I [P1]",
    rules: "rules: [{name: Feint, when: they feint, pays: 1 bonus to me}]",
    bout: "1 B feint .\n2 R feint .\n3 R feint .",
    gives: "points 0-0 bonus 1-2",
  },
  {
    pass: "best of",
    says: "of a group only the rule that pays most stays",
    rules: `rules:
  - {name: Small, when: I feint, pays: 1 bonus to me, best of: it}
  - {name: Large, when: "I feint, then I parry", pays: 3 bonus to me, best of: it}`,
    bout: "1 R feint, R parry .",
    gives: "points 0-0 bonus 3-0",
  },
  {
    pass: "annul",
    says: "annul takes away everything in the unit but what the same rule pays",
    rules: `touches: {I hit: 1}
rules:
  - {name: Extra, when: I hit, pays: 1 point to me}
  - {name: Threat, when: they threaten, if: I hit, does: annul my points, pays: 1 point to me}`,
    bout: "1 B threaten, R cut head ! .",
    gives: "points 1-0 bonus 0-0",
  },
  {
    pass: "multiply",
    says: "double and triple multiply, whatever their order",
    rules: `touches: {I hit: 1}
rules:
  - {name: Press, when: "I press, then I hit", does: double my points}
  - {name: Feint, when: "I feint, then I hit", does: triple my points}`,
    bout: "1 R press, R feint, R cut head ! .",
    gives: "points 6-0 bonus 0-0",
  },
  {
    pass: "turn over",
    says: "two turn overs in one exchange swap at once [S11]",
    rules: `rules:
  - {name: Feint, when: I feint, pays: 2 bonus to me}
  - {name: Bind, when: I bind, pays: 1 bonus to me}
  - {name: Turn, if: it is a double, does: turn my bonus over to them}`,
    bout: "1 double R feint, B bind, R cut head !, B cut head ! .",
    gives: "points 0-0 bonus 1-2",
  },
  {
    pass: "at most",
    says: "a cap that has less left than is due pays what is left [S9]",
    rules: "rules: [{name: Parry, when: I parry, pays: 2 bonus to me, at most: 3 bonus a bout}]",
    bout: "1 R parry .\n2 R parry .\n3 R parry .",
    gives: "points 0-0 bonus 3-0",
  },
  {
    pass: "had",
    says: "what a cap has given counts in the next exchange",
    rules: "rules: [{name: Parry, when: I parry, pays: 1 bonus to me, at most: once a bout}]",
    bout: "1 R parry .\n2 R parry .",
    gives: "points 0-0 bonus 1-0",
  },
  {
    pass: "not below",
    says: "the fencer's tally in that unit never falls below the floor [S13]",
    rules: "rules: [{name: Step out, when: I step out, pays: -2 points to me, not below: 0}]",
    bout: "score 1-0\n1 R step out .\n2 R step out .",
    gives: "points 0-0 bonus 0-0",
  },
  {
    pass: "hold",
    says: "what is held is paid after the next exchange, unless that one loses it",
    rules: `rules:
  - {name: Feint, when: I feint, pays: 2 bonus to me}
  - {name: Keep, when: I withdraw, does: "hold my bonus for one exchange, lost if they hit"}`,
    bout: "1 R feint, R withdraw .\n2 B cut head ! .\n3 R feint .",
    gives: "points 0-0 bonus 2-0",
  },
  {
    pass: "end the bout",
    says: "a rule can end the bout; what is fenced after it counts nothing",
    rules: `touches: {I hit: 1}
rules: [{name: Disarmed, when: they disarm, does: "end the bout, I lose"}]`,
    bout: "1 B disarm .\n2 R cut head ! .",
    gives: "points 0-0 bonus 0-0",
  },
];

/** The passes that run once more at the end of the bout, over what only then is paid. */
export const END_EXAMPLES: readonly PassExample[] = [
  {
    pass: "rules",
    says: "a rule at the end of the bout is tried once, when there is a winner",
    rules: `touches: {I hit: 1}
rules: [{name: Won, at: the end of the bout, if: I win the bout, pays: 2 bonus to me}]`,
    bout: "1 R cut head ! .\n2 R cut head ! .\nend",
    gives: "points 2-0 bonus 2-0",
  },
  {
    pass: "best of",
    says: "of a group only the one that pays most stays, at the end too",
    rules: `touches: {I hit: 1}
rules:
  - {name: Won, at: the end of the bout, if: I win the bout, pays: 1 bonus to me, best of: it}
  - {name: Won well, at: the end of the bout, if: "I win the bout, and in the last exchange I hit", pays: 3 bonus to me, best of: it}`,
    bout: "1 R cut head ! .\nend",
    gives: "points 1-0 bonus 3-0",
  },
  {
    pass: "annul",
    says: "annul takes what is paid at the end",
    rules: `touches: {I hit: 1}
rules:
  - {name: Won, at: the end of the bout, if: I win the bout, pays: 2 bonus to me}
  - {name: Gone, at: the end of the bout, if: in the last exchange they hit, does: annul my bonus}`,
    bout: "1 R cut head ! .\n2 R cut head ! .\n3 B cut head ! .\nend",
    gives: "points 2-1 bonus 0-0",
  },
  {
    pass: "multiply",
    says: "double what is paid at the end",
    rules: `touches: {I hit: 1}
rules:
  - {name: Won, at: the end of the bout, if: I win the bout, pays: 2 bonus to me}
  - {name: Twice, at: the end of the bout, if: in the last exchange I hit, does: double my bonus}`,
    bout: "1 R cut head ! .\nend",
    gives: "points 1-0 bonus 4-0",
  },
  {
    pass: "turn over",
    says: "turn over what is paid at the end",
    rules: `touches: {I hit: 1}
rules:
  - {name: Won, at: the end of the bout, if: I win the bout, pays: 2 bonus to me}
  - {name: Gift, at: the end of the bout, if: in the last exchange I hit, does: turn my bonus over to them}`,
    bout: "1 R cut head ! .\nend",
    gives: "points 1-0 bonus 0-2",
  },
  {
    pass: "at most",
    says: "a cap holds for what is paid at the end",
    rules: `touches: {I hit: 1}
rules: [{name: Won, at: the end of the bout, if: I win the bout, pays: 3 bonus to me, at most: 2 bonus a bout}]`,
    bout: "1 R cut head ! .\nend",
    gives: "points 1-0 bonus 2-0",
  },
  {
    pass: "had",
    says: "what was had at the end of one bout counts in the night's next",
    rules: `touches: {I hit: 1}
rules: [{name: Won, at: the end of the bout, if: I win the bout, pays: 3 bonus to me, at most: once tonight}]`,
    bout: "bout R Ana, B Ben\n1 R cut head ! .\nend\nbout R Ana, B Cem\n1 R cut head ! .\nend",
    gives: "points 1-0 bonus 0-0",
  },
  {
    pass: "not below",
    says: "the floor holds for what is taken at the end",
    rules: `touches: {I hit: 1}
rules: [{name: Lost, at: the end of the bout, if: I lose the bout, pays: -2 bonus to me, not below: -1}]`,
    bout: "1 R cut head ! .\nend",
    gives: "points 1-0 bonus 0--1",
  },
];
