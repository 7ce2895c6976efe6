import { describe, expect, test } from "vitest";
import { result, scorerOf, sheetOf, tallyOf } from "../../support/score.ts";
import { bringIn, carryOn, eveningAfter, eveningEnd } from "../../../rules/award/evening.ts";
import { scoreBout } from "../../../rules/award/score.ts";

const HILL = `marks:
  hill:
    is: a token for the hall
    changes: passes to me at the end of the bout when I win the bout
  defences:
    is: a count for each fencer tonight
    changes:
      - up 1 at the end of the bout when the hill is mine, and I win the bout
      - to 0 at the end of the bout when I lose the bout
touches: {I hit: 1}
rules:
  - name: Hill held
    at: the end of the bout
    if: I win the bout, and my defences is 1 or more now
    pays: 1 bonus to me
  - name: Three held
    at: the end of the bout
    if: my defences is 3 or more now
    does: retire me`;

describe("the hill (case 71)", () => {
  const scorer = scorerOf(HILL);
  const bouts = [
    "bout R Ana, B Ben\n1 R cut ! .\nend",
    "bout R Cem, B Ana\n1 B cut ! .\nend",
    "bout R Ana, B Dia\n1 R cut ! .\nend",
    "bout R Ben, B Ana\n1 B cut ! .\nend",
  ];
  const after = (n: number) => tallyOf(scorer, bouts.slice(0, n).join("\n"));

  test("whoever wins has it, and keeps it on whichever side he stands", () => {
    console.log(
      JSON.stringify([1, 2, 3, 4].map((n) => [after(n).marks, result(after(n)), after(n).retired])),
    );
  });
  test("entries", () => {
    console.log(JSON.stringify(eveningAfter(scorer, sheetOf(scorer, bouts.join("\n"))), null, 0));
    console.log(
      JSON.stringify(
        bringIn(scorer.ruleSet, eveningAfter(scorer, sheetOf(scorer, bouts.join("\n"))), {
          red: "Ana",
          blue: "Eva",
        }),
      ),
    );
    console.log(
      JSON.stringify(
        bringIn(scorer.ruleSet, eveningAfter(scorer, sheetOf(scorer, bouts.join("\n"))), {
          red: "Fay",
          blue: "Eva",
        }),
      ),
    );
  });
});
