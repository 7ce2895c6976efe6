/** Any sequence of commands, legal or not: nothing throws, and the bout replays from its events to the same state. */
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  clockAt,
  decideBout,
  evolveBout,
  foldBout,
  isRefusal,
  PAUSES,
  PENALTIES,
} from "../../../engine/index.ts";
import type { Bout, BoutCommand, BoutEvent, RecordedExchange, Source } from "../../../engine/index.ts";
import type { Fact } from "../../../rules/index.ts";
import {
  answer,
  asGiven,
  callBout,
  change,
  COACH,
  double,
  fenced,
  fencer,
  given,
  hit,
  judge,
  NIGHT,
  noExchange,
  record,
  REFEREE,
  scorers,
  TABLE,
  underBout,
} from "../../support/given.ts";

const LONG = process.env["LONG"] === "1";
/** Whole bouts twice over: dearer than one command. */
const fewer = { seed: 20_312, numRuns: LONG ? 300 : 60 };
const runs = { seed: 20_311, numRuns: LONG ? 2_000 : 150 };

const side = fc.constantFrom("red" as const, "blue" as const);
const id = fc.constantFrom("x1", "x2", "x3", "x4");
const target = fc.constantFrom("head", "torso", "arm");
const why = fc.constant("as the referee said");
const ruleSet = fc.constantFrom(
  NIGHT,
  underBout("ends: after 3 exchanges", "ties: sudden death", "panel: majority"),
  "unknown",
);

const recorded: fc.Arbitrary<RecordedExchange> = fc.oneof(
  fc.tuple(side, target).map(([by, where]) => hit(by, where)),
  fc.tuple(side, target).map(([by, where]) => answer(by, where)),
  fc.constant(double),
  fc.constant(noExchange),
  side.map((by): RecordedExchange => ({
    acts: [{ by, form: "cut", target: "torso", end: "hit" }],
    open: true,
  })),
);

const act = fc.tuple(id, fc.constantFrom("a", "b", "c")).map(([x, letter]) => `${x}${letter}`);
const fact: fc.Arbitrary<Fact> = fc.oneof(
  fc.record({
    fact: fc.constant("end" as const),
    act,
    end: fc.constantFrom("hit" as const, "no hit" as const),
  }),
  fc.record({
    fact: fc.constant("attribute" as const),
    act,
    key: fc.constant("target" as const),
    value: target,
  }),
  fc.record({
    fact: fc.constant("happened" as const),
    act: side.map((by) => ({ by, kind: "parry" })),
    before: act,
  }),
  fc.constant<Fact>({ fact: "nothing else" }),
  fc.record({ fact: fc.constant("left" as const), seconds: fc.nat(180) }),
  fc.record({ fact: fc.constant("pick" as const), pick: fc.constant("named target"), side, value: target }),
);
const facts = fc.array(fact, { maxLength: 3 });

const command: fc.Arbitrary<BoutCommand> = fc.oneof(
  { weight: 8, arbitrary: fc.constantFrom<BoutCommand>({ type: "StartFencing" }, { type: "CallHalt" }) },
  { weight: 8, arbitrary: fc.tuple(id, recorded).map(([x, what]) => record(x, what)) },
  { weight: 3, arbitrary: fc.tuple(id, recorded).map(([x, what]) => change(x, what)) },
  {
    weight: 3,
    arbitrary: fc.record({
      type: fc.constant("InsertExchange" as const),
      exchange: id,
      after: fc.oneof(id, fc.constant("start" as const)),
      record: recorded,
    }),
  },
  { weight: 3, arbitrary: fc.record({ type: fc.constant("RemoveExchange" as const), exchange: id }) },
  { weight: 4, arbitrary: fc.constant<BoutCommand>({ type: "Undo" }) },
  { weight: 3, arbitrary: fc.record({ type: fc.constant("GiveFacts" as const), exchange: id, facts }) },
  {
    weight: 3,
    arbitrary: fc.record({
      type: fc.constant("Vote" as const),
      exchange: id,
      facts,
      label: fc.constant("vote"),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      type: fc.constant("SetPick" as const),
      pick: fc.constant("named target"),
      side,
      value: target,
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      type: fc.constant("GivePenalty" as const),
      side,
      penalty: fc.constantFrom(...PENALTIES),
      why,
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({ type: fc.constant("Pause" as const), reason: fc.constantFrom(...PAUSES) }),
  },
  {
    weight: 3,
    arbitrary: fc.constantFrom<BoutCommand>(
      { type: "EndBout" },
      { type: "EndBout", ending: "draw" },
      { type: "Reopen", why: "wrong" },
      { type: "ConfirmResult" },
    ),
  },
  {
    weight: 2,
    arbitrary: fc.constantFrom<BoutCommand>(
      { type: "Resume" },
      { type: "ConfirmCheck" },
      { type: "ComeOnGuard" },
      { type: "SwapFencers" },
    ),
  },
  { weight: 1, arbitrary: fc.record({ type: fc.constant("ChangeRuleSet" as const), ruleSet }) },
  {
    weight: 1,
    arbitrary: fc.record({
      type: fc.constant("SetClock" as const),
      leftMs: fc.integer({ min: -5, max: 200_000 }),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.constantFrom<BoutCommand>(
      { type: "Stop", why: "late" },
      { type: "Forfeit", side: "blue", why: "left" },
    ),
  },
  {
    weight: 1,
    arbitrary: fc.record({ type: fc.constant("QuestionExchange" as const), exchange: id, side, why }),
  },
);

const by: fc.Arbitrary<Source> = fc.oneof(
  { weight: 6, arbitrary: fc.constant(TABLE) },
  fc.constantFrom(COACH, REFEREE, judge(1), judge(2), fencer("mira"), fencer("teo")),
);
const step = fc.record({ by, command, wait: fc.nat(60_000), sat: fc.boolean() });

interface Lived {
  readonly bout: Bout;
  readonly events: readonly { readonly version: number; readonly data: BoutEvent }[];
  readonly refused: number;
}

function live(steps: readonly { by: Source; command: BoutCommand; wait: number; sat: boolean }[]): Lived {
  const called = given(callBout());
  let { bout } = called;
  const events = [...called.events];
  let at = called.told.at;
  let refused = 0;
  for (const [index, each] of steps.entries()) {
    at += each.wait;
    const seats = { referee: false, judges: [judge(1), judge(2)] };
    const put = asGiven({ by: each.by, command: each.command, ...(each.sat ? { seats } : {}) }, at, index);
    const before = JSON.stringify(bout);
    const decision = decideBout(bout, put, scorers);
    if (JSON.stringify(bout) !== before) throw new Error("Deciding changed the bout.");
    if (isRefusal(decision)) {
      refused++;
      continue;
    }
    for (const data of decision) {
      const version = events.length + 1;
      bout = evolveBout(bout, data, version, scorers);
      events.push({ version, data });
    }
  }
  return { bout, events, refused };
}

describe("any sequence of commands", () => {
  test("[D7] leaves a bout that replays from its events, as JSON, to the same state", () => {
    let recordedOnes = 0;
    let refusals = 0;
    let corrections = 0;
    fc.assert(
      fc.property(fc.array(step, { minLength: 5, maxLength: 30 }), (steps) => {
        const { bout, events, refused } = live(steps);
        refusals += refused;
        recordedOnes += events.filter(({ data }) => data.type === "ExchangeRecorded").length;
        corrections += events.filter(({ data }) => "moved" in data).length;
        const stored = JSON.parse(JSON.stringify(events)) as typeof events;
        expect(foldBout(stored, scorers)).toEqual(bout);
        expect(bout.version).toBe(events.length);
        expect(clockAt(bout.clock, bout.clock.since + 1_000_000)).toBeGreaterThanOrEqual(0);
      }),
      runs,
    );
    // The story did something: most of what may happen did, and much was refused.
    expect([recordedOnes > 100, refusals > 300, corrections > 100]).toEqual([true, true, true]);
  });

  test("every event of an undo pile can be undone down to the call", () => {
    fc.assert(
      fc.property(fc.array(step, { minLength: 5, maxLength: 20 }), (steps) => {
        let { bout } = live(steps);
        const pile = bout.undoable?.length ?? 0;
        for (let n = 0; n < pile; n++) {
          const decision = decideBout(bout, asGiven({ type: "Undo" }, bout.clock.since + n, n), scorers);
          if (isRefusal(decision)) throw new Error(decision.sentence);
          for (const data of decision) bout = evolveBout(bout, data, bout.version + 1, scorers);
        }
        expect(bout.undoable ?? []).toEqual([]);
        expect(bout.exchanges).toEqual([]);
        expect(bout.penalties).toEqual([]);
        expect([bout.red, bout.blue, bout.ruleSet]).toEqual(["mira", "teo", NIGHT]);
      }),
      runs,
    );
  });
});

describe("putting right", () => {
  test("a corrected bout has the tally of one that was recorded right at once", () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(recorded, recorded), { minLength: 1, maxLength: 6 }), (pairs) => {
        const wrong = pairs.flatMap(([was], index) => fenced(`x${index}`, was));
        const right = pairs.flatMap(([, is], index) => fenced(`x${index}`, is));
        const long = callBout(NIGHT.replace("at 7 points", "at 90 points"));
        const corrected = pairs.map(([, is], index) => change(`x${index}`, is));
        expect(given(long, wrong).when(corrected).bout.tally).toEqual(given(long, right).bout.tally);
      }),
      fewer,
    );
  });

  test("what moved adds up: with no sentence moved, no award has changed", () => {
    fc.assert(
      fc.property(recorded, recorded, recorded, (first, was, is) => {
        const before = given(callBout(), fenced("x1", first), fenced("x2", was));
        const after = before.when(change("x2", is));
        const amounts = (story: typeof before) =>
          story.bout.tally.awards.map(({ exchange, to, rule, unit, amount }) => ({
            exchange,
            to,
            rule,
            unit,
            amount,
          }));
        if (after.bout.lastMoved.length === 0) expect(amounts(after)).toEqual(amounts(before));
        else expect(amounts(after)).not.toEqual(amounts(before));
      }),
      runs,
    );
  });
});
