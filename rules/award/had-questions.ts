/** Questions about what was had before the bout, where only a span of it was brought in. */
import type { HadOf, HadScope } from "../record.ts";
import { SIDES, type Side } from "../vocabulary.ts";
import { MATCH_BOUTS, MATCH_POINTS, TEAM_POINTS } from "./fields.ts";
import { valuesOf } from "./follow.ts";
import { hadFields } from "./limits.ts";
import type { Field } from "./memory.ts";
import type { Program } from "./program.ts";
import { TONIGHT } from "./quantity.ts";
import { sideOf } from "./question-words.ts";
import type { SheetFold } from "./sheet-fold.ts";
import type { ValueCandidate } from "./value-questions.ts";

interface Had {
  readonly field: Field | undefined;
  readonly rule?: string;
  readonly of: HadOf;
  readonly scope: HadScope;
  readonly side?: Side;
}

const WHERE: Readonly<Record<HadScope, string>> = {
  bout: "in this bout so far",
  pair: "against this partner",
  team: "by the team",
  evening: "tonight",
  hall: "in the hall",
  match: "in the match",
  "team match": "by the team in the match",
};

export function hadCandidates(program: Program, fold: SheetFold): readonly ValueCandidate[] {
  const start = fold.exchanges[0]?.before ?? fold.worlds;
  return allHad(program).flatMap((had): ValueCandidate[] => {
    const { field, rule, of, scope, side } = had;
    const values = field ? [...new Set(start.flatMap((world) => valuesOf(world, field)))] : [];
    if (values.length < 2) return [];
    const who = side === undefined ? "" : ` ${sideOf(side)}`;
    const what =
      rule === undefined
        ? `How many ${of} were had${who && ` by${who}`}`
        : `What was had of "${rule}"${who && ` by${who}`}`;
    return [
      {
        id: `had/${rule ?? of}/${scope}/${side ?? ""}`,
        text: `${what} ${WHERE[scope]}, before this bout?`,
        answers: [],
        ask: "table",
        sheets: values.map((value) => [
          {
            type: "had",
            ...(side === undefined ? {} : { side }),
            ...(rule === undefined ? {} : { rule }),
            least: value,
            most: value,
            of,
            scope,
          },
        ]),
      },
    ];
  });
}

function allHad({ env }: Program): readonly Had[] {
  const { fields, ruleSet } = env;
  const limits = ruleSet.rules.flatMap(({ name }) =>
    hadFields(env, name).flatMap(({ limit, first, shared }): Had[] => {
      const had = { rule: name, of: limit.of, scope: limit.scope as HadScope };
      return shared
        ? [{ ...had, field: fields.all[first] }]
        : SIDES.map((side, i) => ({ ...had, side, field: fields.all[first + i] }));
    }),
  );
  const counts = SIDES.flatMap((side, i): Had[] => {
    const at = i as 0 | 1;
    return [
      ...TONIGHT.map((of): Had => ({ of, scope: "evening", side, field: fields.find(`tonight ${of}`, at) })),
      { of: "points", scope: "match", side, field: fields.find(MATCH_POINTS, at) },
      { of: "points", scope: "team match", side, field: fields.find(TEAM_POINTS, at) },
    ];
  });
  return [...limits, ...counts, { of: "bouts", scope: "match", field: fields.find(MATCH_BOUTS) }];
}
