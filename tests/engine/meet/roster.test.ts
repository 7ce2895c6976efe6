/** The roster's facts in a bout, the hill, and relays of teams. */
import { describe, expect, test } from "vitest";
import {
  bringsOf,
  decideMeet,
  emptyMeet,
  evolveMeet,
  isRefusal,
  nextOnTheHill,
  relayOrder,
} from "../../../engine/index.ts";
import type { Bout, Meet, MeetCommand, MeetEvent, Source } from "../../../engine/index.ts";
import { callBout, COACH, given, scorerOf, scorers } from "../../support/given.ts";

const HALL: Source = { seat: "hall", kind: "hall" };
const PEOPLE = ["mira", "teo", "lena", "omar"] as const;
const open: readonly MeetCommand[] = [
  { type: "OpenEvening", name: "Thursday" },
  { type: "AddRing", ring: "r1", name: "Ring 1" },
  ...PEOPLE.map((person) => ({ type: "AddFencer", person }) as const),
  { type: "AdoptRuleSet", ruleSet: "h1", name: "Anything" },
];

function evening(commands: readonly MeetCommand[], from: Meet = emptyMeet): Meet {
  let meet = from;
  for (const command of commands) {
    const halls = command.type === "MarkFencer" && command.because !== undefined;
    const decided = decideMeet(meet, { id: "c", at: 1, by: halls ? HALL : COACH, command }, () => undefined);
    if (isRefusal(decided)) throw new Error(decided.sentence);
    for (const event of decided) meet = evolveMeet(meet, event, meet.version + 1);
  }
  return meet;
}

const HEAD_START = `
name: Head start
bout:
  starts: the weaker has 2 points
touches:
  I hit: 1
`;

const GAP = `
name: Gap
marks:
  grace:
    is: a count for each fencer
    starts: at the rank gap
touches:
  I hit: 1
rules:
  - name: Grace
    when: I hit
    if: my grace is 2 or more
    pays: 1 bonus to me
`;

const planned = { bout: "a", no: 1, ring: "r1", red: "mira", blue: "teo", ruleSet: "h1" } as const;
const rosterIn = (meet: Meet, text = HEAD_START) =>
  bringsOf(planned, scorerOf(text).ruleSet, { meet, bouts: () => undefined, scorers, at: 1 }).roster;
const set = (person: string, facts: object): MeetCommand => ({ type: "SetFencer", person, facts });
const fencers = { type: "bout", red: "mira", blue: "teo" } as const;

describe("what the roster knows comes into a bout", () => {
  test("left-handers", () =>
    expect(rosterIn(evening([...open, set("teo", { leftHanded: true })]))).toEqual([
      fencers,
      { type: "left-handed", side: "blue" },
    ]));
  test("teams", () =>
    expect(
      rosterIn(evening([...open, set("mira", { team: "Herons" }), set("teo", { team: "Otters" })])),
    ).toEqual([{ ...fencers, redTeam: "Herons", blueTeam: "Otters" }]));
  test("who is the weaker: by rating, else by grade", () => {
    const weaker = (mira: object, teo: object) =>
      rosterIn(evening([...open, set("mira", mira), set("teo", teo)]))?.find(({ type }) => type === "weaker");
    expect(weaker({ rating: 900 }, { rating: 1100 })).toEqual({ type: "weaker", side: "red" });
    expect(weaker({ grade: 4 }, { grade: 2 })).toEqual({ type: "weaker", side: "blue" });
    expect(weaker({ grade: 4, rating: 900 }, { grade: 2, rating: 1100 })).toEqual({
      type: "weaker",
      side: "red",
    });
    // Equal or not known: the table is asked.
    expect(weaker({ grade: 4 }, { grade: 4 })).toBeUndefined();
    expect(weaker({ grade: 4 }, {})).toBeUndefined();
  });
  test("the gap in rank, where a mark starts there", () => {
    const meet = evening([...open, set("mira", { grade: 5 }), set("teo", { grade: 2 })]);
    expect(rosterIn(meet, GAP)).toEqual([fencers, { type: "mark", mark: "grace", value: 3 }]);
    expect(rosterIn(evening(open), GAP)).toEqual([fencers]);
  });
  test("said anew, it is all that is known", () => {
    const meet = evening([...open, set("mira", { team: "Herons", grade: 5 }), set("mira", { grade: 4 })]);
    expect(meet.fencers[0]).toEqual({ person: "mira", as: "here", grade: 4 });
  });
  test("streams from before rosters had facts replay as they were", () => {
    const old: readonly MeetEvent[] = [
      { at: 1, by: COACH, type: "FencerAdded", person: "mira" },
      { at: 1, by: COACH, type: "FencerMarked", person: "mira", as: "resting" },
    ];
    expect(old.reduce((meet, event, at) => evolveMeet(meet, event, at + 1), emptyMeet).fencers).toEqual([
      { person: "mira", as: "resting" },
    ]);
  });
});

describe("out of a bout", () => {
  const mark = (as: "here" | "retired" | "out for tonight", because: string): MeetCommand => ({
    type: "MarkFencer",
    person: "teo",
    as,
    because,
  });
  const asOf = (meet: Meet) => meet.fencers.find(({ person }) => person === "teo")?.as;

  test("is taken in once: the coach's word afterwards stands", () => {
    const retired = evening([...open, mark("retired", "a"), mark("retired", "a")]);
    expect(asOf(retired)).toBe("retired");
    const back = evening([{ type: "MarkFencer", person: "teo", as: "here" }, mark("retired", "a")], retired);
    expect(asOf(back)).toBe("here");
    expect(asOf(evening([mark("retired", "b")], back))).toBe("retired");
  });
  test("taken back, it frees only whom that bout had marked", () => {
    const retired = evening([...open, mark("retired", "a")]);
    expect(asOf(evening([mark("here", "a")], retired))).toBe("here");
    const out = evening([{ type: "MarkFencer", person: "teo", as: "out for tonight" }], retired);
    expect(asOf(evening([mark("here", "a")], out))).toBe("out for tonight");
  });
  test("whoever is retired is not called until somebody marks them as here", () => {
    const meet = evening([
      ...open,
      { type: "PlanBout", bout: "a", ring: "r1", red: "mira", blue: "teo", ruleSet: "h1" },
      mark("retired", "z"),
    ]);
    const call = { id: "c", at: 1, by: COACH, command: { type: "CallToRing", bout: "a" } } as const;
    expect(decideMeet(meet, call, () => undefined)).toMatchObject({ refused: "fencer-out" });
  });
});

describe("winner stays", () => {
  const bout = given(callBout()).bout;
  /** Bouts by id: who fenced, who won, and when it was over. */
  const over = (red: string, blue: string, ending: Bout["ending"], at: number): Bout => ({
    ...bout,
    red,
    blue,
    stage: "ended",
    clock: { ...bout.clock, since: at },
    ...(ending === undefined ? {} : { ending }),
  });
  const withCalled = (meet: Meet, bouts: Readonly<Record<string, Bout>>): Meet => ({
    ...meet,
    called: Object.entries(bouts).map(([id, { red, blue }], no) => ({
      bout: id,
      no: no + 1,
      ring: "r1",
      red,
      blue,
      ruleSet: "h1",
    })),
  });
  const next = (bouts: Readonly<Record<string, Bout>>, more: readonly MeetCommand[] = []) =>
    nextOnTheHill(withCalled(evening([...open, ...more]), bouts), "r1", (id) => bouts[id]);

  test("against whoever has waited longest", () =>
    expect(
      next({ a: over("mira", "lena", "red wins", 100), b: over("mira", "omar", "red wins", 200) }),
    ).toEqual({ red: "mira", blue: "teo" }));
  test("whoever won against the holder holds it now", () =>
    expect(
      next({ a: over("mira", "teo", "red wins", 100), b: over("mira", "lena", "blue wins", 200) }),
    ).toEqual({ red: "lena", blue: "omar" }));
  test("a draw leaves it to who held it", () =>
    expect(next({ a: over("mira", "teo", "red wins", 100), b: over("mira", "lena", "draw", 200) })?.red).toBe(
      "mira",
    ));
  test("a retired holder leaves it to the two who have waited longest", () =>
    expect(
      next({ a: over("mira", "lena", "red wins", 100) }, [
        { type: "MarkFencer", person: "mira", as: "retired", because: "a" },
      ]),
    ).toEqual({ red: "teo", blue: "omar" }));
  test("nobody who is planned already, and nobody for fewer than two", () => {
    const plan: MeetCommand = {
      type: "PlanBout",
      bout: "z",
      ring: "r1",
      red: "teo",
      blue: "omar",
      ruleSet: "h1",
    };
    expect(next({ a: over("mira", "lena", "red wins", 100) }, [plan])).toEqual({ red: "mira", blue: "lena" });
    const rest = ["lena", "teo", "omar"].map(
      (person) => ({ type: "MarkFencer", person, as: "resting" }) as const,
    );
    expect(next({ a: over("mira", "lena", "red wins", 100) }, rest)).toBeUndefined();
  });
});

describe("a relay of two teams", () => {
  test("three against three in the published order, everybody meets everybody once", () => {
    // Sport fencing's relay order 3-6, 1-5, 2-4, 1-6, 3-4, 2-5, 1-4, 2-6, 3-5 (from memory).
    const order = relayOrder(["1", "2", "3"], ["4", "5", "6"]);
    expect(order.map(({ red, blue }) => `${red}-${blue}`).join(", ")).toBe(
      "3-6, 1-5, 2-4, 1-6, 3-4, 2-5, 1-4, 2-6, 3-5",
    );
  });
  test.each([
    [2, 2],
    [2, 3],
    [4, 4],
  ])("%i against %i: everybody meets everybody once", (reds, blues) => {
    const names = (letter: string, n: number) => Array.from({ length: n }, (_, at) => `${letter}${at}`);
    const order = relayOrder(names("r", reds), names("b", blues)).map(({ red, blue }) => `${red}-${blue}`);
    expect(order).toHaveLength(reds * blues);
    expect(new Set(order).size).toBe(order.length);
  });

  const relay = (more: object = {}): MeetCommand => ({
    type: "PlanRelay",
    ring: "r1",
    ruleSet: "h1",
    redTeam: "Herons",
    blueTeam: "Otters",
    bouts: [
      { bout: "a", red: "mira", blue: "teo" },
      { bout: "b", red: "lena", blue: "omar" },
    ],
    ...more,
  });
  const refused = (command: MeetCommand): string => {
    const decided = decideMeet(evening(open), { id: "c", at: 1, by: COACH, command }, () => undefined);
    return isRefusal(decided) ? decided.sentence : "";
  };

  test("is planned in one step, in its order, each bout for its team", () => {
    const meet = evening([...open, relay()]);
    expect(meet.planned.map(({ no, bout, redTeam, blueTeam }) => [no, bout, redTeam, blueTeam])).toEqual([
      [1, "a", "Herons", "Otters"],
      [2, "b", "Herons", "Otters"],
    ]);
    const [first] = meet.planned;
    if (first === undefined) throw new Error("Nothing is planned.");
    const { roster } = bringsOf(first, scorerOf(HEAD_START).ruleSet, {
      meet,
      bouts: () => undefined,
      scorers,
      at: 1,
    });
    expect(roster?.[0]).toEqual({ ...fencers, redTeam: "Herons", blueTeam: "Otters" });
  });
  test("or not at all: one bout that cannot be planned refuses all of them", () => {
    expect(refused(relay({ bouts: [{ bout: "a", red: "mira", blue: "zoe" }] }))).toBe(
      "That person is not among this evening's fencers.",
    );
    expect(refused(relay({ bouts: [] }))).toBe(
      "A relay needs at least one bout, each with an id of its own.",
    );
    expect(refused(relay({ blueTeam: "Herons" }))).toBe(
      "A relay is fenced by two teams: choose another for Blue.",
    );
  });
});
