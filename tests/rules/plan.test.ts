import { describe, expect, test } from "vitest";
import { draftLine, press } from "../../rules/award/plan-draft.ts";
import type { BoutSheet } from "../../rules/record.ts";
import {
  ANSWER,
  answer,
  chip,
  entered,
  labels,
  neither,
  planOf,
  presses,
  score,
} from "../support/presses.ts";

describe("the hit keys are what the rule set tells apart", () => {
  test("targets of one worth share a key, the dearest first, the same for both sides", () => {
    expect(labels(answer)).toEqual(["Head 3", "Torso 2", "Arm, leg 1"]);
    expect(answer.hits.blue.map((key) => key.targets)).toEqual([["head"], ["torso"], ["arm", "leg"]]);
    expect(answer.hits.blue.map((key) => key.act.by)).toEqual(["blue", "blue", "blue"]);
  });
  test("where no target is named there is one key", () => {
    expect(labels(planOf("name: Plain\ntouches:\n  I hit: 1\n"))).toEqual(["Hit 1"]);
  });
  test("a rule that names a target needs its key even if the touches do not", () => {
    const text =
      "name: Plain\ntouches:\n  I hit: 1\nrules:\n  - name: Leg\n    when: I hit the leg\n    pays: 1 bonus to me\n";
    expect(labels(planOf(text))).toEqual(["Elsewhere 1", "Leg 1"]);
  });
  test("what scores nothing can still be pressed", () => {
    expect(labels(planOf("name: Plain\ntouches:\n  I hit the head: 1\n"))).toEqual(["Head 1", "Elsewhere 0"]);
  });
  test("touches that tell blows apart have them on the keys", () => {
    const text = "name: Plain\ntouches:\n  I hit with a thrust: 2\n  I hit with a cut: 1\n";
    expect(labels(planOf(text))).toEqual(["Thrust 2", "Cut 1"]);
  });
  test("a thrust that is worth the same everywhere is one key beside the cuts", () => {
    const text = `name: Plain
touches:
  I hit the head with a cut: 2
  I hit the torso, arm or leg with a cut: 1
  I hit with a thrust: 3
`.replace("torso, arm or leg", "torso or arm or leg");
    expect(labels(planOf(text))).toEqual(["Thrust 3", "Head cut 2", "Torso, arm, leg cut 1"]);
  });
  test("only descending cuts score: a key for the others, which score nothing", () => {
    const plan = planOf("name: Plain\ntouches:\n  I hit with a descending cut: 1\n");
    expect(labels(plan)).toEqual(["Descending cut 1", "Other hit 0"]);
    expect(score(entered(presses(plan, ["red: Other hit"])))).toBe("points 0-0 bonus 0-0 open 0");
  });
  test("sealed openings are told apart", () => {
    const text = `name: Plain
weapon: longsword
picks:
  secret opening:
    by: each fencer
    from: [upper left opening, upper right opening, lower left opening, lower right opening]
    when: before the bout
touches:
  I hit: 1
rules:
  - name: Closed opening
    when: they hit my secret opening
    pays: 1 bonus to me
`;
    expect(labels(planOf(text)).length).toBe(4);
  });
  test("a touch that needs more than a hit is a chip", () => {
    const plan = planOf("name: Plain\ntouches:\n  I parry, then I riposte and hit: 1\n");
    expect(labels(plan)).toEqual(["Hit 0"]);
    expect(plan.chips.map((one) => [one.id, one.pay?.amount])).toEqual([
      ["red:touch:0", 1],
      ["blue:touch:0", 1],
    ]);
    const hit = presses(plan, ["red: Hit"]);
    expect(score(entered(hit))).toBe("points 0-0 bonus 0-0 open 0");
    expect(score(entered(press(hit, "red:touch:0")))).toBe("points 1-0 bonus 0-0 open 0");
  });
});

describe("the presses of neither side", () => {
  test("a double and no exchange are always there, an afterblow where it differs", () => {
    expect(neither(answer)).toEqual(["double", "no exchange", "afterblow"]);
  });
  test("an afterblow that scores as a double does, where nobody counts doubles, needs no key", () => {
    expect(neither(planOf("name: Plain\nbout:\n  doubles: both score\ntouches:\n  I hit: 1\n"))).toEqual([
      "double",
      "no exchange",
    ]);
  });
  test("simultaneous only where the rule set asks for it", () => {
    const text = "name: Plain\nbout:\n  simultaneous: both score\ntouches:\n  I hit: 1\n";
    expect(neither(planOf(text))).toContain("simultaneous");
  });
});

describe("what pays nothing still has its chip where the rule set needs the fact", () => {
  test("a parry that only moves a token", () => {
    const plan = planOf(`name: Token
marks:
  initiative:
    is: a token
    starts: with red
    changes:
      - changes hands when I or they parry
touches:
  I hit: 2
rules:
  - name: No initiative
    when: I hit
    if: the initiative is theirs at that moment
    does: annul my points
`);
    const parry = plan.chips.find((one) => one.from.is === "change" && one.side === "red");
    expect(parry?.label).toBe("Parry");
    expect(parry?.pay).toBeUndefined();
    const hit = presses(plan, ["blue: Hit"]);
    expect(score(entered(hit))).toBe("points 0-0 bonus 0-0 open 0");
    expect(score(entered(press(hit, "blue:change:0:0")))).toBe("points 0-2 bonus 0-0 open 0");
  });
  test("an attempt that the report counts, but not one that a rule's chip says already", () => {
    const plan = planOf(
      ANSWER.replace(
        "bout:",
        "  attempt: they make the cue, then I parry\n  theme: they make the cue\nbout:",
      ),
    );
    expect(plan.chips.filter((one) => one.from.is === "phrase").map((one) => one.label)).toEqual([
      "Attempt",
      "Attempt",
    ]);
    const draft = presses(plan, ["blue: Gave the cue"]);
    const made = entered(press(draft, "red:phrase:1")).exchanges[0]?.made.red;
    expect(made).toEqual(["attempt", "theme"]);
  });
  test("a rule that holds in every exchange has no chip", () => {
    const text = "name: Always\ntouches:\n  I hit: 1\nrules:\n  - name: Halved\n    does: halve my points\n";
    expect(planOf(text).chips).toEqual([]);
  });
});

describe("what hangs on a sealed choice", () => {
  const plan = planOf(`name: Named
weapon: longsword
picks:
  named attack:
    by: the coach
    from:
      - zornhau + head
      - thrust + torso
    when: before the bout
touches:
  I hit: 1
rules:
  - name: Defended
    when: they strike with the named attack, then I parry
    unless: they hit
    pays: 1 bonus to me
`);
  test("tells the targets apart", () => {
    expect(labels(plan)).toEqual(["Head 1", "Torso 1", "Arm, leg 1"]);
  });
  test("is offered, and says that it stays open while the choice is not known here", () => {
    const draft = presses(plan, ["red: Defended"]);
    expect(chip(draft, "red: Defended")).toMatchObject({ state: "offered", pressed: true, open: true });
    expect(score(entered(draft))).toBe("points 0-0 bonus 0-0 open 1");
  });
  test("is lit once it is known", () => {
    const before: BoutSheet = [{ type: "pick", pick: "named attack", value: "zornhau + head" }];
    const draft = presses(plan, ["red: Defended"], before);
    expect(chip(draft, "red: Defended")).toMatchObject({ state: "lit", now: { amount: 1, to: "red" } });
    expect(draftLine(draft, 1).acts[0]).toMatchObject({ by: "blue", blow: "zornhau", target: "head" });
  });
});
