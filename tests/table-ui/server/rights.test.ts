import { afterEach, describe, expect, test } from "vitest";
import type { BoutCommand, MeetCommand } from "../../../engine/index.ts";
import type { TableView } from "../../../table-ui/wire/views.ts";
import {
  fenceOnce,
  hit,
  must,
  openTestHall,
  refusedAs,
  setTheStage,
  type Device,
  type Stage,
  type TestHall,
} from "./hall.ts";

let hall: TestHall;
afterEach(() => hall.close());

const fact = { fact: "end", act: "a1", end: "hit" } as const;
const praise: BoutCommand = {
  type: "GiveFacts",
  exchange: "x1",
  facts: [{ fact: "call", call: { call: "praise", for: "red" } }],
};
const COMMANDS: Readonly<Record<string, BoutCommand>> = {
  fence: { type: "StartFencing" },
  record: { type: "RecordExchange", exchange: "x2", record: hit("red") },
  correct: { type: "ChangeExchange", exchange: "x1", record: hit("blue") },
  facts: { type: "GiveFacts", exchange: "x1", facts: [fact] },
  call: praise,
  vote: { type: "Vote", exchange: "x1", facts: [fact], label: "Hit" },
  pick: { type: "SetPick", pick: "secret", side: "red", value: "leg" },
  penalty: { type: "GivePenalty", side: "red", penalty: "warning", why: "stepped out" },
  undo: { type: "Undo" },
  stop: { type: "Stop", why: "enough" },
  question: { type: "QuestionExchange", exchange: "x1", side: "red", why: "I parried" },
};

/** The rows of design.md's table of seats that a bout can be asked for: which seats are turned away as such. */
const TURNED_AWAY: Readonly<Record<string, readonly string[]>> = {
  fence: ["judge", "red", "blue", "wall"],
  record: ["judge", "red", "blue", "wall"],
  correct: ["judge", "red", "blue", "wall"],
  facts: ["judge", "red", "blue", "wall"],
  call: ["wall"],
  vote: ["coach", "table", "red", "blue", "wall"],
  pick: ["judge", "blue", "wall"],
  penalty: ["judge", "red", "blue", "wall"],
  undo: ["judge", "red", "blue", "wall"],
  stop: ["red", "blue", "wall"],
  question: ["coach", "table", "judge", "blue", "wall"],
};

const seatsOf = (stage: Stage): Readonly<Record<string, Device<never>>> =>
  ({
    coach: hall.coach,
    table: stage.table,
    judge: stage.judges[0],
    red: stage.redSeat,
    blue: stage.blueSeat,
    wall: stage.wall,
  }) as never;

describe("[W16] who may do what in a bout", () => {
  test.each(Object.keys(COMMANDS))("%s", async (name) => {
    const turnedAway: string[] = [];
    // A fresh bout for each seat, for what is allowed changes it.
    for (const seat of ["coach", "table", "judge", "red", "blue", "wall"]) {
      hall = await openTestHall();
      const stage = await setTheStage(hall);
      await fenceOnce(stage, "x1", hit("red"));
      const before = (await hall.ledger.read(`bout/${stage.bout}`)).length;
      const answer = await seatsOf(stage)[seat]?.command({ bout: stage.bout }, COMMANDS[name] as BoutCommand);
      if (answer?.ok === false) {
        expect((await hall.ledger.read(`bout/${stage.bout}`)).length).toBe(before);
        if (answer.refusal.refused === "not-your-seat") turnedAway.push(seat);
      }
      await hall.close();
    }
    expect(turnedAway).toEqual(TURNED_AWAY[name]);
  });

  test("the evening is the coach's: no other seat plans, adds or marks", async () => {
    hall = await openTestHall();
    const stage = await setTheStage(hall);
    const { table, judges, redSeat, wall, red } = stage;
    const commands: MeetCommand[] = [
      { type: "AddRing", ring: "r9", name: "Ring 9" },
      { type: "MarkFencer", person: red, as: "out for tonight" },
      { type: "OpenEvening", name: "Mine" },
      { type: "SetOfficial", ring: "r2", office: "referee", person: red },
    ];
    for (const device of [table, judges[0], redSeat, wall] as Device<never>[]) {
      for (const command of commands) {
        expect(refusedAs(await device.command("meet", command))).toBe("not-your-seat");
      }
      expect(refusedAs(await device.coach({ ask: "issue seat", kind: "wall" }))).toBe("not-your-seat");
    }
  });

  test("a table and a judge of another ring do nothing here", async () => {
    hall = await openTestHall();
    const { bout } = await setTheStage(hall);
    const table = must(await hall.coach.coach({ ask: "issue seat", kind: "table", ring: "r2" }));
    const judge = must(await hall.coach.coach({ ask: "issue seat", kind: "judge", ring: "r2" }));
    const elsewhere = await hall.sit<TableView>(table.path ?? "");
    must(await elsewhere.takePen("r2"));
    expect(refusedAs(await elsewhere.command({ bout }, { type: "StartFencing" }))).toBe("not-your-seat");
    expect(refusedAs(await elsewhere.command("meet", { type: "TakePen", ring: "r1", device: "x" }))).toBe(
      "not-your-seat",
    );
    const other = await hall.sit(judge.path ?? "");
    expect(refusedAs(await other.command({ bout }, { type: "Stop", why: "no" }))).toBe("not-your-seat");
  });

  test("nobody calls a bout past the coach's one step", async () => {
    hall = await openTestHall();
    const { bout, red, blue } = await setTheStage(hall);
    const hash = hall.coach.view.meet.shelf[0]?.ruleSet ?? "";
    const call: BoutCommand = { type: "CallBout", bout: "b9", no: 9, ring: "r1", red, blue, ruleSet: hash };
    expect(refusedAs(await hall.coach.command({ bout: "b9" }, call))).toBe("bad-message");
    expect(refusedAs(await hall.coach.command("meet", { type: "CallToRing", bout }))).toBe("bad-message");
    expect(hall.running.house.streams.bout("b9")).toBeUndefined();
  });
});

const twoTables = async () => {
  hall = await openTestHall();
  const stage = await setTheStage(hall);
  const issued = must(await hall.coach.coach({ ask: "issue seat", kind: "table", ring: "r1" }));
  const second = await hall.sit<TableView>(issued.path ?? "");
  return { stage, second, on: { bout: stage.bout } };
};

describe("[W16] the ring's pen", () => {
  test("a table without the pen writes nothing", async () => {
    const { stage, second, on } = await twoTables();
    expect(refusedAs(await second.command(on, { type: "StartFencing" }))).toBe("no-pen");
    // Nor does it help to know the other's epoch.
    second.pen = stage.table.pen;
    expect(refusedAs(await second.command(on, { type: "StartFencing" }))).toBe("no-pen");
  });

  test("two tables race for it: one holds it, with the higher epoch, and the other's next command is refused", async () => {
    const { stage, second, on } = await twoTables();
    const taken = await Promise.all([
      stage.table.command("meet", { type: "TakePen", ring: "r1", device: "first" }),
      second.command("meet", { type: "TakePen", ring: "r1", device: "second" }),
    ]);
    expect(taken.every((answer) => answer.ok)).toBe(true);
    const view = await second.until((each) => each.pen?.epoch === 3);
    stage.table.pen = { epoch: 3, seq: 1 };
    second.pen = { epoch: 3, seq: 1 };
    const answers = [
      await stage.table.command(on, { type: "StartFencing" }),
      await second.command(on, { type: "StartFencing" }),
    ];
    const winner = view.pen?.device === "first" ? 0 : 1;
    expect(answers[winner]?.ok).toBe(true);
    expect(refusedAs(answers[1 - winner] as never)).toBe("no-pen");
  });

  test("what a tablet wrote under an old epoch is refused, and the same command passes when it has the pen again", async () => {
    const { stage, second, on } = await twoTables();
    must(await second.takePen("r1", "second"));
    const waiting = { type: "StartFencing" } as const;
    expect(refusedAs(await stage.table.command(on, waiting))).toBe("no-pen");
    must(await stage.table.takePen("r1", "first again"));
    must(await stage.table.command(on, waiting));
  });

  test("the coach stops a bout without asking for the pen", async () => {
    const { on } = await twoTables();
    must(await hall.coach.command(on, { type: "Stop", why: "water" }));
  });

  test("what only the referee decides is the pen's while no referee sits, and the referee's then", async () => {
    const { stage, on } = await twoTables();
    await fenceOnce(stage, "x1", hit("red"));
    const warning = { type: "GivePenalty", side: "red", penalty: "warning", why: "stepped out" } as const;
    must(await stage.table.command(on, warning));
    const issued = must(
      await hall.coach.coach({ ask: "issue seat", kind: "judge", ring: "r1", referee: true }),
    );
    const referee = await hall.sit(issued.path ?? "");
    expect(refusedAs(await stage.table.command(on, warning))).toBe("not-your-seat");
    must(await referee.command(on, warning));
  });
});
