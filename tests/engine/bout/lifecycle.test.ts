/** The lifecycle: every stage, every way through it, and that what is decided agrees with the machine. */
import { createActor } from "xstate";
import { getShortestPaths, getSimplePaths } from "xstate/graph";
import { describe, expect, test } from "vitest";
import { canBout, decideBout, isRefusal, lifecycle, STAGES } from "../../../engine/index.ts";
import type { BoutCommand, BoutEvent } from "../../../engine/index.ts";
import { LEADS_TO, nextWhere } from "../../../engine/bout/lifecycle.ts";
import type { Where } from "../../../engine/bout/lifecycle.ts";
import {
  asGiven,
  begun,
  callBout,
  COACH,
  fence,
  from,
  given,
  halt,
  hit,
  later,
  record,
  scorers,
} from "../../support/given.ts";
import type { Story } from "../../support/given.ts";

const TYPES = [...new Set([...Object.values(LEADS_TO), "TieBreakCalled" as const])].filter(
  (type) => type !== "BoutCalled",
);
const events = TYPES.map((type) => ({ type }));

/** A command that leads to an event, if it is accepted; ids are fresh for every step. */
function commandFor(type: BoutEvent["type"], step: number, story: Story): BoutCommand {
  const exchange = story.bout.exchanges.at(-1)?.id ?? "x0";
  const commands: { readonly [T in BoutEvent["type"]]: BoutCommand } = {
    BoutCalled: callBout().command,
    CheckConfirmed: { type: "ConfirmCheck" },
    CameOnGuard: { type: "ComeOnGuard" },
    FencingStarted: fence,
    HaltCalled: halt,
    ClockSet: { type: "SetClock", leftMs: 60_000 },
    ExchangeRecorded: record(`x${step}`, hit("red", "arm")),
    ExchangeChanged: { type: "ChangeExchange", exchange, record: hit("red", "arm") },
    ExchangeInserted: {
      type: "InsertExchange",
      exchange: `y${step}`,
      after: "start",
      record: hit("red", "arm"),
    },
    ExchangeRemoved: { type: "RemoveExchange", exchange },
    FencersSwapped: { type: "SwapFencers" },
    RuleSetChanged: { type: "ChangeRuleSet", ruleSet: "unknown" },
    FactsGiven: { type: "GiveFacts", exchange, facts: [{ fact: "left", seconds: 5 }] },
    VoteCast: { type: "Vote", exchange, facts: [], notSeen: true, label: "Not seen" },
    PickSet: { type: "SetPick", pick: "none", value: "none" },
    PenaltyGiven: { type: "GivePenalty", side: "red", penalty: "warning", why: "late" },
    Undone: { type: "Undo" },
    Paused: { type: "Pause", reason: "gear" },
    Resumed: { type: "Resume" },
    TieBreakCalled: { type: "EndBout" },
    BoutStopped: { type: "Stop", why: "the hall closes" },
    BoutForfeited: { type: "Forfeit", side: "red", why: "absent" },
    BoutEnded: { type: "EndBout", ending: "draw" },
    BoutReopened: { type: "Reopen", why: "scored for the wrong side" },
    ResultConfirmed: { type: "ConfirmResult" },
    // Follow from other commands, for a server that has seeds.
    SeedCommitted: { type: "DrawPick", pick: "none" },
    SeedShown: { type: "DrawPick", pick: "none" },
    AssentGiven: { type: "Assent", exchange, call: "praise", side: "red" },
    ClaimsAnswered: { type: "AnswerClaims", granted: [] },
    ExchangeQuestioned: { type: "QuestionExchange", exchange, side: "red", why: "it was my arm" },
  };
  return commands[type];
}

describe("every stage of a bout can be reached", () => {
  const shortest = getShortestPaths(lifecycle, { events });

  test.each(STAGES)("%s", (stage) => {
    expect(shortest.some(({ state }) => state.value === stage)).toBe(true);
  });

  test("nobody ends a bout out of a stage in which they are fencing: halt comes first", () => {
    expect(
      lifecycle
        .resolveState({ value: "fencing", context: { begun: true, tieBreak: false } })
        .can({ type: "BoutEnded" }),
    ).toBe(false);
  });
});

describe("what is decided agrees with the machine", () => {
  // Tie-breaks come of the score; tie-break.test.ts walks them with bouts that are level.
  const walked = getSimplePaths(lifecycle, {
    events: events.filter(({ type }) => type !== "TieBreakCalled"),
    stopWhen: ({ value }) => value === "ended",
  }).filter(({ state }) => !state.context.tieBreak);

  test("the walk is worth its name: it goes through more than 20 paths to all stages but the tie-break", () => {
    expect(walked.length).toBeGreaterThan(20);
    expect(new Set(walked.map(({ state }) => state.value)).size).toBe(STAGES.length - 1);
  });

  test.each(STAGES.filter((stage) => stage !== "tie-break"))("along every path to %s", (stage) => {
    const paths = walked.filter(({ state }) => state.value === stage);
    expect(paths.length).toBeGreaterThan(0);
    for (const { steps } of paths) {
      let story = given(callBout());
      const types = steps.map(({ event }) => event.type).filter((type) => type in LEADS_FROM);
      types.forEach((type, index) => {
        story = story.when(from(COACH, commandFor(type, index + 1, story)));
        if (story.told.refused !== undefined)
          throw new Error(`${types.join(" > ")}: ${story.told.refused.sentence}`);
      });
      expect(`${types.join(" > ")}: ${story.bout.stage}`).toBe(`${types.join(" > ")}: ${stage}`);
    }
  });

  test("[D6] where canBout says no, the command is refused in that stage", () => {
    const stages = [
      given(callBout()),
      given(callBout(), { type: "ConfirmCheck" }),
      given(callBout(), { type: "ComeOnGuard" }),
      given(callBout(), fence),
      begun().when(record("x1", hit("red", "arm"))),
      begun().when({ type: "Pause", reason: "injury" }),
      begun().when({ type: "Stop", why: "the hall closes" }),
    ];
    let refused = 0;
    for (const story of stages)
      for (const type of TYPES.filter((each) => each !== "TieBreakCalled")) {
        const command = commandFor(type, 77, story);
        const may = canBout(story.bout, command.type);
        const decision = decideBout(story.bout, asGiven(from(COACH, command), story.told.at, 99), scorers);
        if (may) continue;
        refused++;
        expect([story.bout.stage, command.type, isRefusal(decision)]).toEqual([
          story.bout.stage,
          command.type,
          true,
        ]);
      }
    expect(refused).toBeGreaterThan(20);
  });
});

const LEADS_FROM = Object.fromEntries(TYPES.map((type) => [type, true]));

describe("the machine replays", () => {
  test("a table of steps agrees with one actor that is sent the whole bout", () => {
    for (const { steps } of getShortestPaths(lifecycle, { events })) {
      const actor = createActor(lifecycle).start();
      let where: Where = { stage: "called", begun: false, tieBreak: false };
      for (const { event } of steps) {
        if (!(event.type in LEADS_FROM)) continue;
        actor.send(event);
        where = nextWhere(where, event.type);
      }
      const { value, context } = actor.getSnapshot();
      expect(where).toEqual({ stage: value, ...context });
    }
  });

  test("an event that a stage does not know leaves it there: a replay cannot be refused", () => {
    const ended: Where = { stage: "ended", begun: true, tieBreak: false };
    expect(nextWhere(ended, "FencingStarted")).toEqual(ended);
  });
});

describe("the stages, told", () => {
  test("one official alone may say Fence! at once", () =>
    void given(callBout(), fence).then((bout) => expect(bout.stage).toBe("fencing")));

  test("an exchange may be entered late, while the next is fenced", () =>
    void given(callBout(), fence, halt, fence, record("x1", hit("red", "head"))).then((bout) => {
      expect(bout.stage).toBe("fencing");
      expect(bout.clock.running).toBe(true);
    }));

  test("a pause before the first Fence! goes back to the call", () =>
    void given(callBout(), { type: "Pause", reason: "gear" }, { type: "Resume" }).then((bout) =>
      expect(bout.stage).toBe("called"),
    ));

  test("an injury stops the clock and the bout, and it goes on halted", () =>
    void given(callBout(), fence, later(2_000, { type: "Pause", reason: "injury", side: "blue" }))
      .then((bout) => {
        expect(bout.stage).toBe("paused");
        expect(bout.clock).toMatchObject({ running: false, leftMs: 178_000 });
        expect(bout.paused).toMatchObject({ reason: "injury", side: "blue" });
      })
      .when({ type: "Resume" })
      .then((bout) => {
        expect(bout.stage).toBe("halted");
        expect(bout.paused).toBeUndefined();
      }));

  test("a stopped bout is closed without a winner", () =>
    void begun()
      .when(record("x1", hit("red", "head")), { type: "Stop", why: "a blade broke" })
      .then((bout) =>
        expect([bout.stage, bout.ending, bout.endingWhy]).toEqual(["ended", "stopped", "a blade broke"]),
      ));

  test("a forfeit names who forfeits", () =>
    void given(callBout(), { type: "Forfeit", side: "blue", why: "not here after three calls" }).then(
      (bout) => expect(bout.ending).toBe("blue forfeits"),
    ));

  test("after the end nothing is recorded until it is reopened", () =>
    void begun()
      .when({ type: "Stop", why: "the hall closes" }, record("x1", hit("red", "head")))
      .refused("bout-is-over"));
});
