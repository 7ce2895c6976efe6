/** An evening: rings, fencers, planned bouts, calling, pens. */
import { describe, expect, test } from "vitest";
import { decideMeet, emptyMeet, evolveMeet, isRefusal, penRefusal } from "../../../engine/index.ts";
import type { Bout, Meet, MeetCommand, RefusalCode, Source } from "../../../engine/index.ts";
import { callBout, COACH, given, TABLE } from "../../support/given.ts";

const open: readonly MeetCommand[] = [
  { type: "OpenEvening", name: "Thursday", until: "21:30" },
  { type: "AddRing", ring: "r1", name: "Ring 1" },
  { type: "AddRing", ring: "r2", name: "Ring 2" },
  ...["mira", "teo", "lena", "omar"].map((person) => ({ type: "AddFencer", person }) as const),
  { type: "AdoptRuleSet", ruleSet: "h1", name: "Cover and answer" },
];
const plan = (bout: string, red: string, blue: string, ring = "r1"): MeetCommand => ({
  type: "PlanBout",
  bout,
  ring,
  red,
  blue,
  ruleSet: "h1",
});
const call = (bout: string): MeetCommand => ({ type: "CallToRing", bout });

const running = given(callBout()).bout;
const over: Bout = { ...running, stage: "ended" };

interface Evening {
  readonly meet: Meet;
  readonly refused?: RefusalCode;
}

function evening(
  commands: readonly MeetCommand[],
  bouts: Readonly<Record<string, Bout>> = {},
  by: Source = COACH,
  from = emptyMeet,
): Evening {
  let meet = from;
  let refused: RefusalCode | undefined;
  for (const command of commands) {
    const pen = by.kind === "table" ? { pen: { epoch: 1, seq: 1 } } : {};
    const decision = decideMeet(meet, { id: "c", at: 1, by, command, ...pen }, (id) => bouts[id]);
    refused = isRefusal(decision) ? decision.refused : undefined;
    if (!isRefusal(decision)) for (const event of decision) meet = evolveMeet(meet, event, meet.version + 1);
  }
  return { meet, ...(refused === undefined ? {} : { refused }) };
}

describe("planning", () => {
  test("bouts are numbered as they are planned, and a dropped number is not given again", () => {
    const { meet } = evening([
      ...open,
      plan("a", "mira", "teo"),
      plan("b", "lena", "omar"),
      { type: "DropPlannedBout", bout: "b" },
      plan("c", "lena", "omar"),
    ]);
    expect(meet.planned.map(({ bout, no }) => [bout, no])).toEqual([
      ["a", 1],
      ["c", 3],
    ]);
  });
  test.each<[string, MeetCommand, RefusalCode]>([
    ["two who are one", plan("a", "mira", "mira"), "same-fencer"],
    ["somebody who is not here", plan("a", "mira", "zoe"), "no-such-person"],
    ["a ring that is not there", plan("a", "mira", "teo", "r9"), "no-such-ring"],
    [
      "a rule set that is not on the shelf",
      { type: "PlanBout", bout: "a", ring: "r1", red: "mira", blue: "teo", ruleSet: "h9" },
      "no-such-rule-set",
    ],
  ])("refuses %s", (_, command, code) => expect(evening([...open, command]).refused).toBe(code));
});

describe("calling", () => {
  const planned = [
    ...open,
    plan("a", "mira", "teo"),
    plan("b", "lena", "omar"),
    plan("c", "mira", "omar", "r2"),
  ];

  test("puts the bout on its ring", () => {
    const { meet } = evening([...planned, call("a")]);
    expect(meet.rings[0]?.bout).toBe("a");
    expect(meet.called.map(({ bout }) => bout)).toEqual(["a"]);
    expect(meet.planned.map(({ bout }) => bout)).toEqual(["b", "c"]);
  });
  test("waits while the ring's bout goes on", () => {
    expect(evening([...planned, call("a"), call("b")], { a: running }).refused).toBe("ring-busy");
    expect(evening([...planned, call("a"), call("b")], { a: over }).refused).toBeUndefined();
  });
  test("waits for a fencer who is in another bout", () => {
    expect(evening([...planned, call("a"), call("c")], { a: running }).refused).toBe("fencer-busy");
    expect(evening([...planned, call("a"), call("c")], { a: over }).refused).toBeUndefined();
  });
  test("leaves out whoever is out for tonight or resting", () => {
    for (const as of ["out for tonight", "resting"] as const)
      expect(evening([...planned, { type: "MarkFencer", person: "teo", as }, call("a")]).refused).toBe(
        "fencer-out",
      );
  });
  test("a ring is cleared once its bout has ended", () => {
    expect(evening([...planned, call("a"), { type: "ClearRing", ring: "r1" }], { a: running }).refused).toBe(
      "ring-busy",
    );
    expect(
      evening([...planned, call("a"), { type: "ClearRing", ring: "r1" }], { a: over }).meet.rings[0]?.bout,
    ).toBeUndefined();
  });
});

const takes = (device: string): MeetCommand => ({ type: "TakePen", ring: "r1", device });

describe("the pen", () => {
  const opened = evening(open).meet;

  test("each take-over raises the epoch, and the device before may write no more", () => {
    const once = evening([takes("tablet")], {}, TABLE, opened).meet;
    const twice = evening([takes("phone")], {}, { ...TABLE, seat: "other seat" }, once).meet;
    expect(twice.rings[0]?.pen).toEqual({ device: "phone", seat: "other seat", epoch: 2 });
    const written = { id: "c", at: 1, by: TABLE, pen: { epoch: 1, seq: 4 }, command: null };
    expect(penRefusal(once, "r1", written)).toBeUndefined();
    expect(penRefusal(twice, "r1", written)?.refused).toBe("no-pen");
    expect(penRefusal(opened, "r1", written)?.refused).toBe("no-pen");
  });
  test("a judge does not take it", () =>
    expect(evening([takes("phone")], {}, { seat: "j", kind: "judge", judge: 1 }, opened).refused).toBe(
      "not-your-seat",
    ));
});

describe("who runs the evening", () => {
  test("the coach opens it, once", () => {
    expect(evening([{ type: "OpenEvening", name: "x" }], {}, TABLE).refused).toBe("not-your-seat");
    expect(evening([...open, { type: "OpenEvening", name: "x" }]).refused).toBe("not-now");
  });
  test("officials are named for a ring", () => {
    const { meet } = evening([
      ...open,
      { type: "SetOfficial", ring: "r1", office: "referee", person: "ines" },
    ]);
    expect(meet.rings[0]?.referee).toBe("ines");
  });
});
