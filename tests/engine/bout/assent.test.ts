/** A judge's own value, and a second judge's assent to it. */
import { describe, expect, test } from "vitest";
import type { BoutCommand, SeatsHeld, Side, Source } from "../../../engine/index.ts";
import { awaitsAssent, freeValues } from "../../../engine/index.ts";
import {
  callBout,
  COACH,
  fence,
  fenced,
  from,
  given,
  hit,
  judge,
  record,
  REFEREE,
  scorerOf,
  TABLE,
  type Step,
  type Story,
} from "../../support/given.ts";

const PRAISE = `
name: Praise for measure
words:
  praise: a call
bout:
  ends: after 5 exchanges
touches:
  I hit: 1
rules:
  - name: Praised
    if: the judge calls praise for me
    pays: between 0 and 2 bonus to me as the judge says
    watch: a second judge assents
`;

const calls = (value: number, side: Side = "red"): BoutCommand => ({
  type: "GiveFacts",
  exchange: "x1",
  facts: [{ fact: "call", call: { call: "praise", for: side, value } }],
});
const assent: BoutCommand = { type: "Assent", exchange: "x1", call: "praise", side: "red" };
const held: SeatsHeld = { referee: false, judges: [judge(1), judge(2)] };

/** One exchange is written down, and judge 1 has given Red 2. */
const called = (...more: readonly Step[]): Story =>
  given(callBout(PRAISE), fenced("x1", hit("red", "head"))).when(from(judge(1), calls(2)), ...more);

describe("a value that a judge says", () => {
  test("is open until a second judge assents", () =>
    void called().then(({ tally }) => {
      expect(tally.bonus.red).toBe(0);
      expect(tally.span.bonus.red).toEqual({ least: 0, most: 2 });
      expect(tally.open).toBe(1);
      expect(tally.questions).toMatchObject([
        { text: "Exchange 1: does a second judge assent to 2 for Red's praise?", answers: [], ask: "judge" },
      ]);
    }));

  test("is given once another judge's seat assents, and the correction says so", () =>
    void called(from(judge(2), assent)).then(({ tally }, story) => {
      expect(tally.bonus.red).toBe(2);
      expect(tally.open).toBe(0);
      expect(story.events.at(-1)?.data).toMatchObject({
        type: "AssentGiven",
        value: 2,
        tally: { bonus: { red: 2, blue: 0 }, open: 0 },
        moved: [{ exchange: 1, sentence: "Exchange 1: Red's Praised, 2 bonus, is new." }],
      });
    }));

  test("the referee's seat is another judge's seat", () =>
    void called(from(REFEREE, assent)).then(({ tally }) => expect(tally.bonus.red).toBe(2)));

  test("another judge who calls the same has assented by it", () =>
    void called(from(judge(2), calls(2))).then(({ tally }) => expect(tally.bonus.red).toBe(2)));

  test('is not given where "Fence!" closes the window without an assent', () =>
    void called(fence).then(({ tally }) => {
      expect(tally.span.bonus.red).toEqual({ least: 0, most: 0 });
      expect(tally.open).toBe(0);
    }));

  test("nor where the bout ends first", () =>
    void called({ type: "Stop", why: "the hall closes" }).then(({ tally }) => {
      expect(tally.bonus.red).toBe(0);
      expect(tally.open).toBe(0);
    }));

  test("an assent is to the value: another value needs another", () =>
    void called(from(judge(2), assent), from(judge(1), calls(1))).then(({ tally }) => {
      expect(tally.bonus.red).toBe(0);
      expect(tally.span.bonus.red).toEqual({ least: 0, most: 1 });
    }));

  test("for each fencer by itself", () =>
    void called(from(judge(1), calls(1, "blue")), from(judge(2), { ...assent, side: "blue" })).then(
      ({ tally }) => {
        expect(tally.bonus).toEqual({ red: 0, blue: 1 });
        expect(tally.span.bonus.red).toEqual({ least: 0, most: 2 });
      },
    ));
});

describe("refused, with words", () => {
  const sentenceOf = (story: Story): string | undefined => story.told.refused?.sentence;

  test("the same seat", () =>
    expect(sentenceOf(called(from(judge(1), assent)))).toBe(
      "You called it yourself: the assent comes from another judge's seat.",
    ));
  test("the same person in another seat", () => {
    const first: Source = { ...judge(1), person: "ines" };
    const second: Source = { ...REFEREE, person: "ines" };
    const story = given(callBout(PRAISE), fenced("x1", hit("red", "head"))).when(
      from(first, calls(2)),
      from(second, assent),
    );
    expect(sentenceOf(story)).toBe(
      "The same person called it from another seat: the assent is another judge's.",
    );
  });
  test("coach and table, who are no judges", () => {
    for (const by of [COACH, TABLE]) called(from(by, assent)).refused("not-your-seat");
    called(from({ ...TABLE, referee: true }, assent)).refused("not-your-seat");
  });
  test("what nobody has called", () =>
    void called(from(judge(2), { ...assent, side: "blue" })).refused("no-such-call"));
  test('after the next "Fence!"', () =>
    expect(sentenceOf(called(fence, from(judge(2), assent)))).toBe(
      'The next "Fence!" has closed "praise": without an assent it is not given.',
    ));
  test('a call after the next "Fence!": nobody could assent to it', () => {
    const story = given(callBout(PRAISE), fenced("x1", hit("red", "head"))).when(
      fence,
      from(judge(1), calls(2)),
    );
    expect(story.told.refused?.refused).toBe("not-now");
  });
  test("more than the rule set lets a judge give", () => {
    const story = given(callBout(PRAISE), fenced("x1", hit("red", "head"))).when(from(judge(1), calls(3)));
    expect(sentenceOf(story)).toBe('"praise" is given between 0 and 2, not 3.');
  });
  test("a judge who says who assents", () => {
    const forged: BoutCommand = {
      type: "GiveFacts",
      exchange: "x1",
      facts: [{ fact: "call", call: { call: "praise", for: "red", value: 2, assent: "j2" } }],
    };
    called(from(judge(1), forged)).refused("not-your-seat");
  });
  test("the table writing down an assent while two judges hold their seats", () => {
    const written = record("x2", {
      ...hit("red", "head"),
      calls: [{ call: "praise", for: "red", value: 2, source: "j1", assent: "j2" }],
    });
    called({ command: written, seats: held }).refused("not-your-seat");
    // Alone it writes what it hears.
    called(written).then(({ tally }) => expect(tally.bonus.red).toBe(2));
  });
});

describe("what the judges' pages need", () => {
  const { ruleSet } = scorerOf(PRAISE);
  test("the values that the rule set lets a judge give", () =>
    expect(freeValues(ruleSet)).toEqual([
      { call: "praise", rule: "Praised", low: 0, high: 2, assent: true },
    ]));
  test("what awaits an assent, and whether this seat may give it", () =>
    void called().then((bout) => {
      const waits = { exchange: "x1", call: "praise", side: "red", value: 2, source: "j1" };
      expect(awaitsAssent(bout, ruleSet, judge(1))).toEqual([{ ...waits, may: false }]);
      expect(awaitsAssent(bout, ruleSet, judge(2))).toEqual([{ ...waits, may: true }]);
    }));
});

describe("a fixed sum for a call", () => {
  const fixed = PRAISE.replace("pays: between 0 and 2 bonus to me as the judge says", "pays: 1 bonus to me");
  const praised: BoutCommand = {
    type: "GiveFacts",
    exchange: "x1",
    facts: [{ fact: "call", call: { call: "praise", for: "red" } }],
  };
  const story = given(callBout(fixed), fenced("x1", hit("red", "head"))).when(from(judge(1), praised));

  test("waits for the second judge too", () =>
    void story.then(({ tally }) => {
      expect(tally.span.bonus.red).toEqual({ least: 0, most: 1 });
      expect(tally.questions.map(({ text }) => text)).toEqual([
        "Exchange 1: does a second judge assent to Red's praise?",
      ]);
    }));
  test("is given with the assent, and not without it", () => {
    story.when(from(judge(2), assent)).then(({ tally }) => expect(tally.bonus.red).toBe(1));
    story.when(fence).then(({ tally }) => {
      expect(tally.bonus.red).toBe(0);
      expect(tally.open).toBe(0);
    });
  });
});
