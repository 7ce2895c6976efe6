import { describe, expect, test } from "vitest";
import type { BoutExchange } from "../../../engine/index.ts";
import { applyFacts, compile, readRuleSet, scoreBout, type Act, type RuleSet } from "../../../rules/index.ts";
import { ballotOn } from "../../../table-ui/wire/ballot.ts";

function ruleSetOf(text: string): RuleSet {
  const read = readRuleSet(text);
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  return read.value;
}

const ANSWER = ruleSetOf(`name: Answer
touches:
  I hit: 1
rules:
  - name: Parry, then riposte
    when: they strike, then I parry, then I riposte and hit
    pays: 2 bonus to me
    watch: judge 1
`);

const exchange = (...acts: Act[]): BoutExchange => ({
  id: "x1",
  record: { acts: acts.map((act, i) => Object.assign({ id: `a${i + 1}` }, act)), open: true },
  by: { seat: "t", kind: "table" },
  at: 0,
  votes: [],
  given: [],
});
const ballot = (each: BoutExchange, judge = 1, ruleSet = ANSWER) =>
  ballotOn(each, 4, ruleSet, { seat: "seat-1", judge, referee: false });

const vote = (seat: string, label: string) => ({
  by: { seat, kind: "judge" } as const,
  at: 1,
  facts: [{ fact: "happened", act: { by: "red", kind: "parry" } } as const],
  notSeen: false,
  label,
});

describe("the ballot", () => {
  test("watches the one who landed: the first action, then the hit, in four votes", () => {
    const made = ballot(exchange({ by: "blue", target: "arm", end: "hit" }));
    expect(made).toMatchObject({ exchange: "x1", no: 4, side: "blue", watch: "Parry, then hit" });
    expect(made?.votes.map(({ label, picture }) => [label, picture])).toEqual([
      ["Parry, then hit", "parry-hit"],
      ["Hit, no parry", "hit"],
      ["No hit", "none"],
      ["Not seen", "unseen"],
    ]);
    expect(made?.votes[3]?.facts).toEqual([]);
  });

  test("each vote's facts are what the vote says: scored, they pay and do not pay", () => {
    const recorded = exchange({ by: "red", kind: "attack" }, { by: "blue", kind: "attack", end: "hit" });
    const made = ballot(recorded);
    const scorer = compile(ANSWER);
    const pays = (facts: Parameters<typeof applyFacts>[1] = []) => {
      const line = applyFacts({ type: "exchange", no: 1, id: "x1", ...recorded.record }, facts);
      const { points, bonus } = scoreBout(scorer, [{ ...line, open: false }]);
      return [points.blue, bonus.blue];
    };
    expect(pays(made?.votes[0]?.facts)).toEqual([1, 2]);
    expect(pays(made?.votes[1]?.facts)).toEqual([1, 0]);
    expect(pays(made?.votes[2]?.facts)).toEqual([0, 0]);
  });

  test("without a rule that names the judge it is the rule in which something comes before the hit, else the hit", () => {
    const landed = exchange({ by: "red", end: "hit" });
    expect(ballot(landed, 2)?.watch).toBe("Parry, then hit");
    const plain = ruleSetOf("name: Plain\ntouches:\n  I hit: 1\n");
    const made = ballot(landed, 2, plain);
    expect(made?.watch).toBe("Hit");
    expect(made?.votes.map(({ label }) => label)).toEqual(["Hit", "No hit", "Not seen"]);
  });

  test("where nobody landed odd judges watch Red, even ones Blue", () => {
    const nothing = exchange({ by: "red", kind: "attack" });
    expect([1, 2, 3].map((judge) => ballot(nothing, judge)?.side)).toEqual(["red", "blue", "red"]);
  });

  test("a no exchange is not voted on", () => {
    const none = exchange();
    expect(ballot({ ...none, record: { ...none.record, how: "no exchange" } })).toBeUndefined();
  });

  test("shows the own vote and is not moved by another judge's", () => {
    const plain = exchange({ by: "red", end: "hit" });
    const voted = { ...plain, votes: [vote("seat-1", "Mine"), vote("seat-2", "Theirs")] };
    expect(ballot(voted)?.cast).toBe("Mine");
    expect(ballot(voted)?.votes).toEqual(ballot(plain)?.votes);
    expect(JSON.stringify(ballot(voted))).not.toContain("Theirs");
  });
});
