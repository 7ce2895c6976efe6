/** A bout from call to result: recording, corrections, undo, endings, penalties. */
import { describe, expect, test } from "vitest";
import { foldBout } from "../../../engine/index.ts";
import type { Bout } from "../../../engine/index.ts";
import {
  answer,
  callBout,
  change,
  COACH,
  double,
  end,
  fenced,
  fencer,
  from,
  given,
  hit,
  judge,
  later,
  NIGHT,
  noExchange,
  record,
  REFEREE,
  scorers,
  underBout,
  undo,
} from "../../support/given.ts";

const score = ({ tally }: Bout) => `${tally.points.red}-${tally.points.blue}`;
const bonus = ({ tally }: Bout) => `${tally.bonus.red}-${tally.bonus.blue}`;
const moved = ({ lastMoved }: Bout) => lastMoved.map(({ sentence }) => sentence);

describe("recording", () => {
  test("a touch scores what its target is worth", () =>
    void given(callBout(), fenced("x1", hit("red", "head")), fenced("x2", hit("blue", "arm"))).then((bout) =>
      expect(score(bout)).toBe("3-1"),
    ));

  test("the event carries the tally that was acknowledged", () => {
    const story = given(callBout(), fenced("x1", answer("red")));
    expect(story.events.at(-1)?.data).toMatchObject({
      type: "ExchangeRecorded",
      tally: { points: { red: 2, blue: 0 }, bonus: { red: 2, blue: 0 }, open: 0 },
    });
  });

  test("the clock at the halt goes with the exchange, in whole seconds", () =>
    void given(callBout(), fenced("x1", hit("red", "head"))).then((bout) =>
      expect(bout.exchanges[0]?.record.left).toBe(176),
    ));

  test("a clock that was forgotten says nothing about the exchange", () =>
    void given(callBout(), record("x1", hit("red", "head"))).then((bout) =>
      expect(bout.exchanges[0]?.record.left).toBeUndefined(),
    ));

  test("every action has an id of its own that stays", () =>
    void given(callBout(), fenced("x1", answer("red")))
      .then((bout) =>
        expect(bout.exchanges[0]?.record.acts.map((act) => act.id)).toEqual(["x1a", "x1b", "x1c"]),
      )
      .when({ type: "InsertExchange", exchange: "x0", after: "start", record: noExchange })
      .then((bout) =>
        expect(bout.exchanges[1]?.record.acts.map((act) => act.id)).toEqual(["x1a", "x1b", "x1c"]),
      ));

  test("an exchange is recorded once under its id", () =>
    void given(callBout(), record("x1", hit("red", "head")))
      .when(record("x1", hit("blue", "head")))
      .refused("exchange-exists"));

  test("two actions with one id are a fault of the message", () => {
    const act = { id: "a", by: "red" as const, kind: "attack" };
    given(callBout())
      .when(record("x1", { acts: [act, act], open: false }))
      .refused("bad-message");
  });
});

describe("corrections are new events and say what they moved", () => {
  const four = given(
    callBout(underBout("ends: at 20 points")),
    fenced("x1", hit("red", "head")),
    fenced("x2", hit("blue", "torso")),
  );

  test("a changed exchange names what is gone and what is new", () =>
    void four.when(change("x1", hit("blue", "head"))).then((bout, story) => {
      expect(score(bout)).toBe("0-5");
      expect(moved(bout)).toEqual([
        "Exchange 1: Red's touch, 3 points, is gone.",
        "Exchange 1: Blue's touch, 3 points, is new.",
      ]);
      expect(story.happened.filter((type) => type === "ExchangeRecorded")).toHaveLength(2);
    }));

  test("a changed amount says both", () =>
    void four
      .when(change("x1", hit("red", "arm")))
      .then((bout) => expect(moved(bout)).toEqual(["Exchange 1: Red's touch is 1 point instead of 3."])));

  test("a correction that fills a cap earlier takes a later award away and says why", () =>
    void given(
      callBout(NIGHT.replace("at 7 points", "at 30 points")),
      fenced("x1", hit("red", "arm")),
      fenced("x2", answer("red", "arm")),
      fenced("x3", answer("red", "arm")),
    )
      .then((bout) => expect(bonus(bout)).toBe("4-0"))
      .when(change("x1", answer("red", "arm")))
      .then((bout) => {
        expect(bonus(bout)).toBe("4-0");
        expect(moved(bout)).toEqual([
          "Exchange 1: Red's Cover and answer, 2 bonus, is new.",
          "Exchange 3: Red's Cover and answer, 2 bonus, is gone: capped at 4 bonus a bout.",
        ]);
      }));

  test("an inserted exchange stands where it was fenced, and numbers follow", () =>
    void four
      .when({ type: "InsertExchange", exchange: "x9", after: "x1", record: double, why: "forgotten" })
      .then((bout) => {
        expect(bout.exchanges.map(({ id }) => id)).toEqual(["x1", "x9", "x2"]);
        expect(bout.tally.exchanges.map(({ no, id }) => [no, id])).toEqual([
          [1, "x1"],
          [2, "x9"],
          [3, "x2"],
        ]);
        expect(bout.exchanges[1]?.putRight?.why).toBe("forgotten");
      }));

  test("a removed exchange is gone from the tally and named by its old number", () =>
    void four.when({ type: "RemoveExchange", exchange: "x1" }).then((bout) => {
      expect(score(bout)).toBe("0-2");
      expect(moved(bout)).toEqual([
        "What was exchange 1: Red's touch, 3 points, is gone: the exchange was removed.",
      ]);
    }));

  test("an exchange that is not there cannot be put right", () =>
    void four.when(change("x7", hit("red", "arm"))).refused("no-such-exchange"));

  test("swapping the fencers changes who is Red, not what Red did", () =>
    void four.when({ type: "SwapFencers" }).then((bout) => {
      expect([bout.red, bout.blue]).toEqual(["teo", "mira"]);
      expect(score(bout)).toBe("3-2");
    }));

  test("another rule set scores what is there anew", () =>
    void four
      .when({ type: "ChangeRuleSet", ruleSet: NIGHT.replace("I hit the head: 3", "I hit the head: 4") })
      .then((bout) => {
        expect(score(bout)).toBe("4-2");
        expect(moved(bout)).toEqual(["Exchange 1: Red's touch is 4 points instead of 3."]);
      }));

  test("a rule set that this device does not have is refused", () =>
    void four.when({ type: "ChangeRuleSet", ruleSet: "unknown" }).refused("no-such-rule-set"));

  test("correcting equals having recorded it right at once", () => {
    const right = given(callBout(), fenced("x1", hit("blue", "torso")), fenced("x2", answer("red")));
    const corrected = given(callBout(), fenced("x1", hit("red", "head")), fenced("x2", answer("red"))).when(
      change("x1", hit("blue", "torso")),
    );
    expect(corrected.bout.tally).toEqual(right.bout.tally);
  });
});

describe("undo", () => {
  const two = given(callBout(), fenced("x1", hit("red", "head")), fenced("x2", hit("blue", "torso")));

  test("takes the latest recording back, as one more event", () =>
    void two.when(undo).then((bout, story) => {
      expect(score(bout)).toBe("3-0");
      expect(story.happened.at(-1)).toBe("Undone");
      expect(story.happened).toContain("ExchangeRecorded");
    }));

  test("undone twice takes back the one before", () =>
    void two.when(undo, undo).then((bout) => expect(bout.exchanges).toEqual([])));

  test("takes a correction back to what stood before, its mark included", () =>
    void two.when(change("x1", hit("blue", "head")), undo).then((bout) => {
      expect(bout.exchanges).toEqual(two.bout.exchanges);
      expect(bout.tally).toEqual(two.bout.tally);
    }));

  test("puts a removed exchange back where it stood", () =>
    void two
      .when({ type: "RemoveExchange", exchange: "x1" }, undo)
      .then((bout) => expect(bout.exchanges).toEqual(two.bout.exchanges)));

  test("takes back a swap, facts and a penalty", () => {
    two.when({ type: "SwapFencers" }, undo).then((bout) => expect(bout.red).toBe("mira"));
    two
      .when({ type: "GivePenalty", side: "red", penalty: "penalty hit", why: "turned the back" }, undo)
      .then((bout) => expect([bout.penalties.length, score(bout)]).toEqual([0, "3-2"]));
    two
      .when({ type: "GiveFacts", exchange: "x1", facts: [{ fact: "end", act: "x1a", end: "miss" }] }, undo)
      .then((bout) => expect(score(bout)).toBe("3-2"));
  });

  test("says when there is nothing left", () => void given(callBout()).when(undo).refused("nothing-to-undo"));
});

describe("the end", () => {
  const won = given(
    callBout(),
    fenced("x1", hit("red", "head")),
    fenced("x2", hit("red", "head")),
    fenced("x3", hit("red", "arm")),
  );

  test("a bout that is not over does not end by score", () =>
    void given(callBout(), fenced("x1", hit("red", "head")))
      .when(end)
      .refused("bout-not-over"));

  test("with seven points Red wins, and no Fence! is said any more", () => {
    won.when({ type: "StartFencing" }).refused("bout-is-over");
    won.when(end).then((bout) => expect([bout.stage, bout.ending]).toEqual(["ended", "red wins"]));
  });

  test("the referee may say an ending, whatever the score", () =>
    void given(callBout(), fenced("x1", hit("red", "head")))
      .when(from(REFEREE, { type: "EndBout", ending: "blue wins" }))
      .then((bout) => expect([bout.ending, bout.tally.ended]).toEqual(["blue wins", "blue wins"])));

  test("time runs out: whoever is ahead wins", () =>
    void given(
      callBout(),
      fenced("x1", hit("blue", "arm")),
      { type: "StartFencing" },
      later(200_000, { type: "CallHalt" }),
    )
      .when({ type: "StartFencing" })
      .refused("bout-is-over"));

  test("time runs out and the table ends it", () =>
    void given(
      callBout(),
      fenced("x1", hit("blue", "arm")),
      { type: "StartFencing" },
      later(200_000, { type: "CallHalt" }),
    )
      .when(end)
      .then((bout) => expect(bout.ending).toBe("blue wins")));

  test("doubled out: both lose", () =>
    void given(
      callBout(underBout("ends: at 2 doubles, both lose")),
      fenced("x1", double),
      fenced("x2", double),
    )
      .when(end)
      .then((bout) => expect(bout.ending).toBe("both lose")));

  test("a rule set without an end ends when the officials say so", () =>
    void given(callBout(underBout("ties: draw")), fenced("x1", hit("blue", "arm")))
      .when(end)
      .then((bout) => expect(bout.ending).toBe("blue wins")));

  test("a correction that takes the win away reopens an unconfirmed bout", () =>
    void won.when(end, change("x1", hit("blue", "head"))).then((bout, story) => {
      expect(bout.stage).toBe("halted");
      expect(bout.ending).toBeUndefined();
      expect(story.happened.slice(-2)).toEqual(["ExchangeChanged", "BoutReopened"]);
    }));

  test("a correction that turns the result ends the bout anew", () => {
    const even = [fenced("x1", hit("red", "head")), fenced("x2", hit("blue", "torso"))];
    given(callBout(underBout("ends: after 2 exchanges")), ...even)
      .when(end)
      .then((bout) => expect(bout.ending).toBe("red wins"))
      .when(change("x1", hit("red", "arm")))
      .then((bout) => expect([bout.stage, bout.ending]).toEqual(["ended", "blue wins"]));
  });

  test("a confirmed result is flagged, and stays until the referee reopens it", () =>
    void won
      .when(end, { type: "ConfirmResult" }, change("x1", hit("blue", "head")))
      .then((bout) => {
        expect([bout.stage, bout.ending, bout.changedAfterConfirming]).toEqual(["ended", "red wins", true]);
        expect(bout.lastMoved.length).toBeGreaterThan(0);
      })
      .when(from(REFEREE, { type: "Reopen", why: "the head was Blue's" }))
      .then((bout) =>
        expect([bout.stage, bout.confirmed, bout.changedAfterConfirming]).toEqual(["halted", [], false]),
      ));

  test("if it now ended earlier, later exchanges stay, marked after the end", () =>
    void given(
      callBout(),
      fenced("x1", hit("red", "head")),
      fenced("x2", hit("red", "arm")),
      fenced("x3", hit("blue", "head")),
    )
      .when(change("x2", hit("red", "head")), change("x1", { ...hit("red", "head") }))
      .then((bout) => expect(bout.tally.ended).toBeNull())
      .when({ type: "InsertExchange", exchange: "x0", after: "start", record: hit("red", "arm") })
      .then((bout) => {
        expect(bout.stage).toBe("halted");
        expect(bout.tally.ended).toBe("red wins");
        expect(bout.tally.exchanges.map(({ afterTheEnd }) => afterTheEnd)).toEqual([
          false,
          false,
          false,
          true,
        ]);
        expect(moved(bout)).toContain(
          "Exchange 4: Blue's touch, 3 points, is gone: the bout was over before it.",
        );
      }));

  test("each fencer confirms for themselves, the table for both", () => {
    won
      .when(end, from(fencer("teo"), { type: "ConfirmResult", side: "blue" }))
      .then((bout) => expect(bout.confirmed).toEqual(["blue"]));
    won.when(end, { type: "ConfirmResult" }).then((bout) => expect(bout.confirmed).toEqual(["red", "blue"]));
    won.when({ type: "ConfirmResult" }).refused("bout-not-over");
  });

  test("a fencer questions an exchange of their own bout", () =>
    void won
      .when(
        from(fencer("teo"), { type: "QuestionExchange", exchange: "x2", side: "blue", why: "it was flat" }),
      )
      .then((bout) => expect(bout.exchanges[1]?.questionedBy).toEqual(["blue"])));
});

describe("replay", () => {
  test("a bout folded from its events equals the bout that was fenced", () => {
    const story = given(
      callBout(),
      fenced("x1", answer("red")),
      fenced("x2", double),
      change("x1", answer("blue")),
      undo,
      fenced("x3", hit("red", "head")),
      from(judge(1), { type: "Vote", exchange: "x3", facts: [], notSeen: true, label: "Not seen" }),
      from(COACH, { type: "Stop", why: "late" }),
    );
    expect(foldBout(story.events, scorers)).toEqual(story.bout);
  });

  test("without its rule set a bout still folds, with nothing scored", () => {
    const story = given(callBout(), fenced("x1", hit("red", "head")));
    const bout = foldBout(story.events, () => undefined);
    expect(bout?.exchanges).toHaveLength(1);
    expect(bout?.tally.points).toEqual({ red: 0, blue: 0 });
  });
});
