/** Chance that anybody can check, and picks that come in their time. */
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { checkDraws, decideBout, evolveBout, isRefusal, picksDue } from "../../../engine/index.ts";
import type { Bout, BoutCommand, BoutEvent, Source } from "../../../engine/index.ts";
import { commitmentOf, drawnPlace } from "../../../engine/bout/chance.ts";
import {
  asGiven,
  callBout,
  COACH,
  fence,
  fencer,
  from,
  halt,
  hit,
  later,
  record,
} from "../../support/given.ts";
import { noExchange, scorerOf, scorers, TABLE, type Step } from "../../support/given.ts";

const LUCK = `
name: Luck after every exchange
picks:
  luck:
    by: chance
    from:
      - pays
      - pays twice
      - pays nothing
    when: after each exchange
bout:
  ends: after 5 exchanges
touches:
  I hit: 1
rules:
  - name: Lucky
    when: I hit
    if: the luck is pays twice
    pays: 1 bonus to me
`;

const CARDS = `
name: A card every 20 s
picks:
  card:
    by: chance
    from:
      - head
      - arm
    when: every 20 s
bout:
  ends: after 3 min
touches:
  I hit: 1
rules:
  - name: The card
    when: I hit the card
    pays: 1 bonus to me
`;

const GUARDS = `
name: Guards in turn
picks:
  guard of the hour:
    by: chance
    from:
      - head
      - arm
      - leg
    when: after every 1 exchanges
    turns: 2
bout:
  ends: after 9 exchanges
touches:
  I hit: 1
rules:
  - name: In turn
    when: I hit the guard of the hour
    pays: 1 bonus to me
`;

const seeds = (no: number): string => `seed ${no} of this bout`;

interface Told {
  readonly bout: Bout | undefined;
  readonly events: readonly BoutEvent[];
  readonly at: number;
  readonly refused?: string;
}

/** The story of a bout on a server, which has seeds; `how` "tablet": on a device, which has none. */
function tell(steps: readonly Step[], how: "server" | "tablet" = "server", start?: Told): Told {
  let told: Told = start ?? { bout: undefined, events: [], at: 1_700_000_000_000 };
  for (const step of steps) {
    const at = told.at + ("command" in step ? (step.wait ?? 1_000) : 1_000);
    const given = { ...asGiven(step, at, told.events.length + 1), ...(how === "server" ? { seeds } : {}) };
    const decision = decideBout(told.bout, given, scorers);
    const { refused: _, ...rest } = told;
    if (isRefusal(decision)) {
      told = { ...rest, at, refused: decision.sentence };
      continue;
    }
    const bout = decision.reduce<Bout | undefined>(
      (before, event) => evolveBout(before, event, (before?.version ?? 0) + 1, scorers),
      told.bout,
    );
    told = { bout, events: [...told.events, ...decision], at };
  }
  return told;
}

const boutOf = ({ bout }: Told): Bout => {
  if (bout === undefined) throw new Error("No bout.");
  return bout;
};
const fenced = (exchange: string, what = hit("red", "head")): readonly Step[] => [
  fence,
  later(4_000, halt),
  record(exchange, what),
];
const draw: BoutCommand = { type: "DrawPick", pick: "luck" };
const ruleSets = (hash: string) => scorerOf(hash).ruleSet;
const types = ({ events }: Told): readonly string[] => events.map(({ type }) => type);

describe("the seed", () => {
  test("is committed to as the bout is called, before anything is drawn, and shown when it has ended", () => {
    const told = tell([callBout(LUCK), ...fenced("x1"), draw, { type: "Stop", why: "the hall closes" }]);
    expect(types(told).slice(0, 2)).toEqual(["BoutCalled", "SeedCommitted"]);
    expect(told.events[1]).toMatchObject({ no: 1, commitment: commitmentOf(seeds(1)) });
    expect(told.events.at(-1)).toMatchObject({ type: "SeedShown", no: 1, seed: seeds(1) });
    expect(boutOf(told).chance?.seeds).toEqual([{ commitment: commitmentOf(seeds(1)), seed: seeds(1) }]);
  });
  test("a bout whose rule set draws nothing commits to none", () =>
    expect(types(tell([callBout()]))).toEqual(["BoutCalled"]));
  test("a bout that is reopened draws from another: what was shown can be foretold", () => {
    const told = tell([
      callBout(LUCK),
      ...fenced("x1"),
      { type: "Stop", why: "a mistake" },
      { type: "Reopen", why: "it goes on" },
      draw,
      { type: "Stop", why: "the hall closes" },
    ]);
    expect(boutOf(told).chance?.seeds.map(({ seed }) => seed)).toEqual([seeds(1), seeds(2)]);
    expect(told.events.find(({ type }) => type === "PickSet")).toMatchObject({
      drawn: { how: "from the seed", seed: 2, no: 1 },
    });
    expect(checkDraws(told.events, ruleSets).map(({ is }) => is)).toEqual(["right"]);
  });
});

describe("a draw", () => {
  const five = ["x1", "x2", "x3"].flatMap((id): readonly Step[] => [...fenced(id), draw]);
  const told = tell([callBout(LUCK), ...five, { type: "Stop", why: "the hall closes" }]);

  test("follows from the seed, the pick, the side and its number", () => {
    const values = ["pays", "pays twice", "pays nothing"];
    const drawn = told.events.flatMap((event) => (event.type === "PickSet" ? [event.value] : []));
    expect(drawn).toEqual([1, 2, 3].map((no) => values[drawnPlace(seeds(1), { pick: "luck", no }, 3)]));
  });
  test("belongs to the exchange after which it was drawn", () =>
    expect(boutOf(told).picks.map(({ on }) => on)).toEqual(["x1", "x2", "x3"]));
  test("can be drawn again by anybody once the seed is shown", () =>
    expect(checkDraws(told.events, ruleSets)).toMatchObject([
      { pick: "luck", no: 1, is: "right" },
      { no: 2, is: "right" },
      { no: 3, is: "right" },
    ]));
  test("cannot be checked while the seed is not shown", () =>
    expect(checkDraws(tell([callBout(LUCK), ...five]).events, ruleSets).map(({ is }) => is)).toEqual([
      "unknown",
      "unknown",
      "unknown",
    ]));
  test("that was changed is noticed, whatever was changed", () => {
    const wrong = (change: (event: BoutEvent) => BoutEvent): readonly string[] =>
      checkDraws(told.events.map(change), ruleSets).flatMap(({ is, sentence }) =>
        is === "wrong" ? [sentence] : [],
      );
    const other = (event: BoutEvent): BoutEvent =>
      event.type === "PickSet" && event.drawn?.how === "from the seed" && event.drawn.no === 2
        ? { ...event, value: event.value === "pays" ? "pays nothing" : "pays" }
        : event;
    expect(wrong(other)).toHaveLength(1);
    expect(wrong(other)[0]).toMatch(/^Drawn again, it is "pays/);
    const again = (event: BoutEvent): BoutEvent =>
      event.type === "PickSet" && event.drawn?.how === "from the seed" && event.drawn.no === 3
        ? { ...event, drawn: { ...event.drawn, no: 4 } }
        : event;
    expect(wrong(again)).toEqual(["It says that it is draw 4, and it was draw 3."]);
    const seed = (event: BoutEvent): BoutEvent =>
      event.type === "SeedShown" ? { ...event, seed: "another" } : event;
    expect(wrong(seed)).toHaveLength(3);
    const late = (event: BoutEvent): BoutEvent =>
      event.type === "SeedCommitted" ? { ...event, type: "CameOnGuard" } : event;
    expect(wrong(late)).toHaveLength(3);
  });
  test("every value is drawn about equally often", () => {
    fc.assert(
      fc.property(fc.string({ minLength: 8 }), fc.integer({ min: 2, max: 6 }), (seed, size) => {
        const counts = Array.from({ length: size }, () => 0);
        for (let no = 1; no <= 600; no++) {
          const at = drawnPlace(seed, { pick: "card", no }, size);
          counts[at] = (counts[at] ?? 0) + 1;
        }
        // Six standard deviations of 600 fair draws.
        const expected = 600 / size;
        const most = 6 * Math.sqrt(expected * (1 - 1 / size));
        for (const count of counts) expect(Math.abs(count - expected)).toBeLessThan(most);
      }),
      { seed: 20_251_125, numRuns: 40 },
    );
  });
});

describe("by hand", () => {
  const set = (more: object = {}): BoutCommand => ({ type: "SetPick", pick: "luck", value: "pays", ...more });

  test("what chance says is not simply set", () =>
    expect(tell([callBout(LUCK), ...fenced("x1"), set()]).refused).toBe(
      '"luck" is drawn by chance: draw it, or say that it was drawn by hand from cards on the table.',
    ));
  test("cards on the table: coach or table says so, and it is recorded so", () => {
    for (const by of [COACH, TABLE]) {
      const told = tell([callBout(LUCK), ...fenced("x1"), from(by, set({ drawn: "by hand" }))]);
      expect(told.refused).toBeUndefined();
      expect(checkDraws(told.events, ruleSets)).toMatchObject([
        { value: "pays", is: "unknown", sentence: "It was drawn by hand, from cards." },
      ]);
    }
  });
  test("a fencer says nothing of it", () => {
    const by: Source = fencer("mira");
    const each = LUCK.replace("by: chance", "by: chance for each fencer")
      .replace("the luck", "my luck")
      .replace("after each exchange", "before the bout");
    const told = tell([callBout(each), from(by, set({ side: "red", drawn: "by hand" }))]);
    expect(told.refused).toBe('"luck" is said by chance, not by a fencer.');
  });
  test("a tablet that is out of reach draws itself, and it is recorded as drawn there", () => {
    const told = tell([callBout(LUCK), ...fenced("x1"), draw], "tablet");
    expect(told.refused).toBe(
      "Only the server draws; while it is out of reach the tablet draws, and it is recorded so.",
    );
    const there = tell([set({ drawn: "on the tablet" })], "tablet", told);
    expect(checkDraws(there.events, ruleSets)).toMatchObject([
      { value: "pays", is: "unknown", sentence: "The table drew it while the hall was out of reach." },
    ]);
  });
  test("an answer to the question what it was is a card on the table too; a fencer gives none", () => {
    const said: BoutCommand = {
      type: "GiveFacts",
      exchange: "x1",
      facts: [{ fact: "pick", pick: "luck", value: "pays twice" }],
    };
    const told = tell([callBout(LUCK), ...fenced("x1"), said]);
    expect(boutOf(told).tally.bonus.red).toBe(1);
    expect(checkDraws(told.events, ruleSets)).toMatchObject([
      { value: "pays twice", is: "unknown", sentence: "It was drawn by hand, from cards." },
    ]);
    expect(tell([callBout(LUCK), ...fenced("x1"), from(fencer("mira"), said)]).refused).toMatch(/fencer/);
  });
  test("nobody draws for what is no chance", () => {
    const coach = LUCK.replace("by: chance", "by: the coach");
    expect(tell([callBout(coach), ...fenced("x1"), draw]).refused).toBe(
      '"luck" is not drawn by chance: it is said by the coach.',
    );
  });
});

describe("in its time", () => {
  const due = (told: Told, text: string) => picksDue(boutOf(told), scorerOf(text).ruleSet, told.at);

  test("after each exchange: once, and not before there is one", () => {
    const called = tell([callBout(LUCK)]);
    expect(due(called, LUCK)).toEqual([
      { pick: "luck", due: "later", sentence: "Next luck after exchange 1." },
    ]);
    expect(tell([draw], "server", called).refused).toBe("Next luck after exchange 1.");
    const one = tell(fenced("x1"), "server", called);
    expect(due(one, LUCK)).toEqual([{ pick: "luck", due: "now", sentence: "Luck is due now: draw it." }]);
    const drawn = tell([draw, draw], "server", one);
    expect(drawn.refused).toBe("Next luck after exchange 2.");
    expect(boutOf(drawn).picks).toHaveLength(1);
  });

  test("every 20 s: by the time fenced, and it holds from the next Fence! only", () => {
    const card: BoutCommand = { type: "DrawPick", pick: "card" };
    const first = tell([callBout(CARDS), card, fence, later(21_000, { type: "CallHalt" }), card]);
    expect(first.refused).toBeUndefined();
    // The second card was drawn after the halt, before the exchange that it interrupted was written down.
    expect(boutOf(first).picks.map(({ before }) => before)).toEqual([1, 2]);
    const on = tell([record("x1", hit("red", "head"))], "server", first);
    expect(boutOf(on).picks.map(({ before }) => before)).toEqual([1, 2]);
    expect(due(on, CARDS)[0]?.sentence).toBe(
      'Next card in 19 s of fencing; it holds from the next "Fence!".',
    );
    const undone = tell([{ type: "Undo" }, record("x1b", hit("red", "arm"))], "server", on);
    expect(boutOf(undone).picks.map(({ before }) => before)).toEqual([1, 2]);
    const while2 = tell([fence, later(20_000, card), halt, record("x2", hit("red", "head"))], "server", on);
    expect(boutOf(while2).picks.map(({ before }) => before)).toEqual([1, 2, 3]);
  });

  test("drawn together and taken in turn: as many as the rule set says, then no more", () => {
    const guard: BoutCommand = { type: "DrawPick", pick: "guard of the hour" };
    const two = tell([callBout(GUARDS), guard, guard, guard]);
    expect(boutOf(two).picks).toHaveLength(2);
    expect(two.refused).toBe("Guard of the hour is said, 2 that are taken in turn.");
  });

  test("every 2 exchanges: a no-exchange does not count", () => {
    const coach = LUCK.replace("after each exchange", "after every 2 exchanges").replace(
      "by: chance",
      "by: the coach",
    );
    const said: BoutCommand = { type: "SetPick", pick: "luck", value: "pays" };
    const told = tell([callBout(coach), from(COACH, said), ...fenced("x1"), ...fenced("x2", noExchange)]);
    expect(due(told, coach)).toEqual([
      { pick: "luck", due: "later", sentence: "Next luck after one more exchange." },
    ]);
    expect(due(tell(fenced("x3"), "server", told), coach)).toEqual([
      { pick: "luck", due: "now", sentence: "Luck is due now: the coach says it." },
    ]);
  });

  test("by the list: nobody says it, and the page says which holds and which comes next", () => {
    const list = LUCK.replace("by: chance", "by: the list").replace("after each", "before each");
    const told = tell([callBout(list), ...fenced("x1")]);
    expect(due(told, list)).toEqual([
      {
        pick: "luck",
        due: "listed",
        value: "pays twice",
        sentence: "Luck is pays twice; pays nothing for exchange 3.",
      },
    ]);
    expect(tell([{ type: "SetPick", pick: "luck", value: "pays" }], "server", told).refused).toBe(
      '"luck" follows its list: nobody has to say it.',
    );
  });
});
