/** What the officials' votes come to, by the policy of the rule set. */
import { describe, expect, test } from "vitest";
import { resolveExchange } from "../../../engine/index.ts";
import type { BoutExchange, Source, Vote } from "../../../engine/index.ts";
import type { Act, End, Fact, Panel } from "../../../rules/index.ts";
import {
  answer,
  callBout,
  change,
  fence,
  fenced,
  from,
  given,
  hit,
  judge,
  NIGHT,
  REFEREE,
  TABLE,
  underBout,
} from "../../support/given.ts";

const says = (end: "hit" | "no hit", act = "x1a"): readonly Fact[] => [{ fact: "end", act, end }];
const vote = (by: Source, facts: readonly Fact[] | "not seen"): Vote => ({
  by,
  at: 10,
  facts: facts === "not seen" ? [] : facts,
  notSeen: facts === "not seen",
  label: "",
});

const act: Act = { id: "x1a", by: "red", kind: "attack", target: "torso", end: "perhaps" };
const exchange = (votes: readonly Vote[], more: Partial<BoutExchange> = {}): BoutExchange => ({
  id: "x1",
  record: { acts: [act], open: false },
  by: TABLE,
  at: 0,
  votes,
  given: [],
  ...more,
});

/** How the first action ended under a policy; "no hit" where it did not. */
const ended = (panel: Panel, votes: readonly Vote[], more: Partial<BoutExchange> = {}): End | "no hit" =>
  resolveExchange(exchange(votes, more), panel).acts[0]?.end ?? "no hit";

type Voice = "Y" | "N" | "A";
const spoken = (by: Source, voice: Voice): Vote =>
  vote(by, voice === "A" ? "not seen" : says(voice === "Y" ? "hit" : "no hit"));

describe("the weighted jury: judges 1 vote each, the president 1 1/2", () => {
  // The old pre-electric jury (two secondary sources for the weights; the table from memory); doubt = no hit.
  const TABLE_OF_OLD: readonly [judges: string, yes: string, no: string, notSeen: string][] = [
    ["YY", "hit", "hit", "hit"],
    ["NN", "no hit", "no hit", "no hit"],
    ["YN", "hit", "no hit", "no hit"],
    ["YA", "hit", "no hit", "hit"],
    ["NA", "hit", "no hit", "no hit"],
    ["AA", "hit", "no hit", "no hit"],
  ];
  const cases = TABLE_OF_OLD.flatMap(([judges, ...row]) =>
    row.map((result, index) => [judges, "YNA"[index] as Voice, result] as const),
  );

  test.each(cases)("judges %s, president %s: %s", (judges, president, result) => {
    const [first, second] = [...judges] as [Voice, Voice];
    const votes = [spoken(judge(1), first), spoken(judge(2), second), spoken(REFEREE, president)];
    expect(ended("weighted jury", votes)).toBe(result);
    expect(ended("two judges a fencer", votes)).toBe(result);
  });

  test("with two judges a fencer, those who watch Blue do not count on Red's hit", () => {
    const votes = [spoken(judge(1), "Y"), spoken(judge(3), "N"), spoken(judge(4), "N")];
    expect(ended("two judges a fencer", votes)).toBe("hit");
    expect(ended("weighted jury", votes)).toBe("no hit");
  });
});

describe("the referee decides", () => {
  test("the referee goes before the table", () =>
    expect(
      ended("the referee decides", [vote(REFEREE, says("no hit"))], {
        record: { acts: [{ ...act, end: "hit" }], open: false },
      }),
    ).toBe("no hit"));

  test("the table goes before a judge", () =>
    expect(
      ended("the referee decides", [vote(judge(1), says("no hit"))], {
        record: { acts: [{ ...act, end: "hit" }], open: false },
      }),
    ).toBe("hit"));

  test("a judge settles what the table left open", () =>
    expect(ended("the referee decides", [vote(judge(1), says("hit"))])).toBe("hit"));

  test("*not seen* settles nothing", () =>
    expect(ended("the referee decides", [vote(judge(1), "not seen")])).toBe("perhaps"));

  test("the latest answer of the table goes before its record", () => {
    const facts = [{ by: TABLE, at: 5, facts: says("no hit") }];
    expect(
      ended("the referee decides", [], {
        given: facts,
        record: { acts: [{ ...act, end: "hit" }], open: false },
      }),
    ).toBe("no hit");
  });
});

describe("majority", () => {
  test("two of three carry it", () =>
    expect(ended("majority", [spoken(judge(1), "Y"), spoken(judge(2), "N"), spoken(judge(3), "Y")])).toBe(
      "hit",
    ));

  test("*not seen* is a vote, but for neither", () =>
    expect(ended("majority", [spoken(judge(1), "Y"), spoken(judge(2), "A"), spoken(judge(3), "A")])).toBe(
      "hit",
    ));

  test("one against one leaves the record as it is", () =>
    expect(ended("majority", [spoken(judge(1), "Y"), spoken(judge(2), "N")])).toBe("perhaps"));

  test("a judge who votes again is counted once, by the later vote", () =>
    expect(ended("majority", [spoken(judge(1), "N"), spoken(judge(2), "Y"), spoken(judge(1), "Y")])).toBe(
      "hit",
    ));

  test("votes stay sealed until every judge has voted or Fence! is said", () => {
    const one = [spoken(judge(1), "Y")];
    expect(ended("majority", one, { judges: 2 })).toBe("perhaps");
    expect(ended("majority", one, { judges: 2, windowClosed: true })).toBe("hit");
    expect(ended("majority", [...one, spoken(judge(2), "Y")], { judges: 2 })).toBe("hit");
  });
});

describe("two of three or again", () => {
  test("two who agree decide", () =>
    expect(
      ended("two of three or again", [spoken(judge(1), "Y"), spoken(judge(2), "Y"), spoken(judge(3), "N")]),
    ).toBe("hit"));

  test("three who do not agree: it is fenced again", () => {
    const votes = [spoken(judge(1), "Y"), spoken(judge(2), "N"), spoken(judge(3), "A")];
    expect(resolveExchange(exchange(votes), "two of three or again")).toMatchObject({
      how: "no exchange",
      acts: [],
    });
  });

  test("two who differ wait for the third", () =>
    expect(ended("two of three or again", [spoken(judge(1), "Y"), spoken(judge(2), "N")])).toBe("perhaps"));
});

const call = (value: number): readonly Fact[] => [
  { fact: "call", call: { call: "quality", for: "red", value } },
];

describe("values that are called", () => {
  const votes = [vote(judge(1), call(1)), vote(judge(2), call(2)), vote(judge(3), call(2))];
  const called = (panel: Panel, worth?: (value: number) => number) =>
    resolveExchange(
      exchange(votes),
      panel,
      worth && ((line) => worth(line.calls?.at(-1)?.value ?? 0)),
    ).calls?.at(-1)?.value;

  test("the average is taken to the nearest half", () => expect(called("average")).toBe(1.5));
  test("the higher value is the one that is worth more", () =>
    expect(called("the higher value", (value) => value)).toBe(2));
  test("a majority calls what most called", () => expect(called("majority")).toBe(2));
});

const callsAfter = (...votes: readonly Vote[]) =>
  resolveExchange(exchange(votes), "the referee decides").calls;

describe("who said it", () => {
  test("a call carries its judge", () =>
    expect(callsAfter(vote(judge(2), call(2)))).toEqual([
      { call: "quality", for: "red", value: 2, source: "j2" },
    ]));

  test("a second judge who calls the same assents", () =>
    expect(callsAfter(vote(judge(1), call(2)), vote(judge(2), call(2)))?.[0]).toMatchObject({
      value: 2,
      source: "j2",
      assent: "j1",
    }));

  test("a second judge who calls another value does not", () =>
    expect(callsAfter(vote(judge(1), call(1)), vote(judge(2), call(2)))?.[0]?.assent).toBeUndefined());
});

describe("a vote in a bout", () => {
  // The table leaves to judge 1 what judge 1 watches (S4).
  const left = { ...hit("red", "torso"), open: ["parry", "riposte"] };
  const parried: readonly Fact[] = [
    { fact: "happened", act: { by: "blue", kind: "attack", form: "cut" }, before: "x1a" },
    { fact: "happened", act: { by: "red", kind: "parry" }, before: "x1a" },
    { fact: "attribute", act: "x1a", key: "kind", value: "riposte" },
  ];
  const open = { acts: [{ by: "red", form: "cut", target: "torso", end: "hit" }], open: true } as const;

  test("a watcher who was there and said nothing: it did not happen", () =>
    void given(callBout(), fenced("x1", left))
      .when({ command: fence, seats: { referee: false, judges: [judge(1)] } })
      .then((bout) => {
        expect(bout.exchanges[0]?.given).toMatchObject([
          {
            by: judge(1),
            facts: [
              { fact: "nothing else", kinds: ["cut", "parry", "riposte"].filter((kind) => kind !== "cut") },
            ],
          },
        ]);
        expect(bout.tally.open).toBe(0);
      }));

  test("an empty seat says nothing: it stays unknown, and the question goes to the table", () =>
    void given(callBout(), fenced("x1", open), fence).then((bout) => {
      expect(bout.exchanges[0]?.given).toEqual([]);
      expect(bout.tally.open).toBeGreaterThan(0);
    }));

  test("*not seen* is not silence", () =>
    void given(callBout(), fenced("x1", left))
      .when(from(judge(1), { type: "Vote", exchange: "x1", facts: [], notSeen: true, label: "Not seen" }))
      .when({ command: fence, seats: { referee: false, judges: [judge(1)] } })
      .then((bout) => expect(bout.exchanges[0]?.given).toEqual([])));

  test("a vote that settles an award says what it moved", () =>
    void given(callBout(), fenced("x1", open))
      .when(from(judge(1), { type: "Vote", exchange: "x1", facts: parried, label: "Parry, then hit" }))
      .then((bout, story) => {
        expect(bout.tally.bonus.red).toBe(2);
        expect(story.events.at(-1)?.data).toMatchObject({
          type: "VoteCast",
          tally: { bonus: { red: 2, blue: 0 } },
        });
      }));

  test("what the table puts right after the votes holds against them, the rest of the votes stay", () =>
    void given(
      callBout(underBout("ends: at 20 points", "panel: majority")),
      fenced("x1", hit("red", "torso")),
    )
      .when(from(judge(1), { type: "Vote", exchange: "x1", facts: says("no hit"), label: "No" }))
      .then((bout) => expect(bout.tally.points.red).toBe(0))
      .when(
        change("x1", {
          acts: [{ id: "x1a", by: "red", kind: "attack", target: "head", end: "hit" }],
          open: false,
        }),
      )
      .then((bout) => expect(bout.tally.points.red).toBe(0)));

  test("a fact about an action that is not there is refused", () =>
    void given(callBout(), fenced("x1", answer("red")))
      .when({ type: "GiveFacts", exchange: "x1", facts: says("hit", "x1z") })
      .refused("no-such-exchange"));

  test("judge 1 of this night watches parries and ripostes", () => expect(NIGHT).toContain("watch: judge 1"));
});
