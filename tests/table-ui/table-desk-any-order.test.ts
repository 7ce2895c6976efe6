/** Presses, news, answers, losses and refusals in any order: once all is delivered, tablet and server hold the same. */
import * as fc from "fast-check";
import { expect, test } from "vitest";
import type { BoutCommand } from "../../engine/index.ts";
import { nextToSend, waiting } from "../../table-ui/screens/table/desk.ts";
import type { Answered } from "../../table-ui/wire/messages.ts";
import type { TableView } from "../../table-ui/wire/views.ts";
import { answer, double, hit, NIGHT } from "../support/given.ts";
import { openRing, openTablet, type Ring, type Tablet } from "../support/ring.ts";

const SEED = 20310109;
const RUNS = 80;

const PRESSES = [
  ...["StartFencing", "StartFencing", "CallHalt", "RecordExchange", "RecordExchange", "RecordExchange"],
  ...["ChangeExchange", "InsertExchange"],
  ...["RemoveExchange", "Undo", "SwapFencers", "SetPick", "GivePenalty", "Pause", "Resume", "SetClock"],
  ...["EndBout", "Reopen", "ConfirmResult"],
] as const;
const EVENTS = [
  ...["send", "send", "send", "send", "send", "hear the answer", "hear the answer", "hear the answer"],
  ...["lose the answer", "draw a view", "hear a view", "news", "news", "news", "reload"],
  ...[
    "try again",
    "try again",
    "try again",
    "try again",
    "try again",
    "try again",
    "the coach acts",
    "the coach acts",
  ],
  ...["another takes the pen", "take the pen", "take the pen", "the next bout", "drop"],
] as const;
type Event = (typeof EVENTS)[number] | (typeof PRESSES)[number];

const RECORDS = [
  hit("red", "head"),
  hit("blue", "torso"),
  answer("red"),
  answer("blue", "head"),
  double,
] as const;

/** One command of a type, of many, for the bout as its giver sees it. */
function commandOf(type: Event, n: number, ids: readonly string[], fresh: string): BoutCommand {
  const made = RECORDS[n % RECORDS.length] ?? double;
  const exchange = ids[n % Math.max(1, ids.length)] ?? "none";
  const side = n % 2 === 0 ? "red" : "blue";
  switch (type) {
    case "RecordExchange":
      return { type, exchange: n % 11 === 0 ? exchange : fresh, record: made };
    case "ChangeExchange":
      return { type, exchange, record: made };
    case "InsertExchange":
      return { type, exchange: fresh, after: n % 5 === 0 ? "start" : exchange, record: made };
    case "RemoveExchange":
      return { type, exchange };
    case "SetPick":
      return { type, pick: "named target", side, value: "arm" };
    case "GivePenalty":
      return { type, side, penalty: n % 3 === 0 ? "penalty hit" : "warning", why: "Turned the back." };
    case "SetClock":
      return { type, leftMs: 1_000 * (1 + (n % 180)) };
    case "Pause":
      return { type, reason: "gear" };
    case "Reopen":
      return { type, why: "The result is wrong." };
    case "StartFencing":
    case "CallHalt":
    case "Undo":
    case "SwapFencers":
    case "Resume":
    case "EndBout":
    case "ConfirmResult":
      return { type };
    default:
      throw new Error(`${type} is not a press.`);
  }
}

const isPress = (event: Event): event is (typeof PRESSES)[number] => PRESSES.some((press) => press === event);

/** The air between tablet and server: at most one answer, and views in the order in which they were drawn. */
class Between {
  answer: Answered | undefined;
  views: TableView[] = [];
  readonly happened = new Map<string, number>();
  readonly dropped = new Set<string>();
  readonly givenAgain = new Set<string>();
  bouts = ["b1"];
  private fresh = 0;
  readonly ring: Ring;
  readonly tablet: Tablet;

  constructor(ring: Ring, tablet: Tablet) {
    this.ring = ring;
    this.tablet = tablet;
  }

  private did(what: string): void {
    this.happened.set(what, (this.happened.get(what) ?? 0) + 1);
  }

  private press(type: Event, n: number): void {
    const ids = this.tablet.desk.bout?.exchanges.map(({ id }) => id) ?? [];
    const refused = this.tablet.give(commandOf(type, n, ids, `t${(this.fresh += 1)}`));
    this.did(refused === undefined ? "press" : "refused here");
  }

  private async coachActs(n: number): Promise<void> {
    const on = this.bouts.at(-1) ?? "b1";
    const type = PRESSES[n % PRESSES.length] ?? "Undo";
    const ids = this.ring.fold(on)?.exchanges.map(({ id }) => id) ?? [];
    const said = await this.ring.coach(commandOf(type, n >> 3, ids, `c${(this.fresh += 1)}`), on, true);
    if (said.ok) this.did("the coach acted");
  }

  private async nextBout(): Promise<void> {
    const [on, next] = [this.bouts.at(-1) ?? "b1", `b${this.bouts.length + 1}`];
    if (this.bouts.length === 3) return;
    await this.ring.coach({ type: "Stop", why: "The next two are waiting." }, on, true);
    await this.ring.coach({ type: "ClearRing", ring: "r1" });
    await this.ring.call(next);
    this.bouts.push(next);
    this.did("next bout");
  }

  hearAnswer(): void {
    if (this.answer === undefined) return;
    const known = this.tablet.desk.pending.some(({ id }) => id === this.answer?.id);
    this.did(this.answer.ok ? (known ? "answer first" : "event first") : "refused there");
    this.tablet.answer(this.answer);
    this.answer = undefined;
  }

  private again(n: number, isDrop: boolean): void {
    const { setAside } = this.tablet.desk;
    const index = n % Math.max(1, setAside.length);
    const id = setAside[index]?.pending.id;
    if (id === undefined) return;
    if (isDrop) {
      this.tablet.drop(id);
      this.dropped.add(id);
      return;
    }
    const refused = this.tablet.giveAgain(index);
    if (refused === undefined) this.givenAgain.add(id);
    this.did(refused === undefined ? "given again" : "refused again");
  }

  async step(event: Event, n: number): Promise<void> {
    if (isPress(event)) return this.press(event, n);
    switch (event) {
      case "send":
        this.answer ??= await this.tablet.send();
        return;
      case "hear the answer":
        return this.hearAnswer();
      case "lose the answer":
        if (this.answer !== undefined) this.did("lost");
        this.answer = undefined;
        return;
      case "draw a view":
        return void this.views.push(this.ring.view);
      case "news":
        // At once: whatever is still on its way comes first.
        this.views = [];
        return this.tablet.receive();
      case "hear a view": {
        const view = this.views.shift();
        if (view !== undefined) this.tablet.receive(view);
        return;
      }
      case "reload":
        [this.answer, this.views] = [undefined, []];
        this.did("reload");
        return this.tablet.reload();
      case "the coach acts":
        return this.coachActs(n);
      case "another takes the pen":
        return void (await this.ring.takePen("another tablet"));
      case "take the pen":
        // The page that takes it has a link, so it has heard all that was drawn before.
        this.views = [];
        return this.tablet.takePen();
      case "the next bout":
        return n % 4 === 0 ? this.nextBout() : undefined;
      case "try again":
      case "drop":
        return this.again(n, event === "drop");
    }
  }

  async deliverAll(): Promise<void> {
    this.hearAnswer();
    this.views = [];
    await this.tablet.takePen();
    await this.tablet.sendAll();
    this.tablet.receive();
  }
}

/** What must hold in between: nothing is there twice, and nothing that was taken is nowhere. */
function nothingIsLostOrDoubled({ ring, tablet, bouts, dropped, givenAgain }: Between): void {
  const ids = tablet.desk.bout?.exchanges.map(({ id }) => id) ?? [];
  expect(new Set(ids).size).toBe(ids.length);
  const onServer = new Set(bouts.flatMap((bout) => ring.events(bout).map(({ command }) => command)));
  const here = new Set(
    [...tablet.desk.pending, ...tablet.desk.setAside.map(({ pending }) => pending)].map(({ id }) => id),
  );
  const lost = tablet.taken.filter(
    ({ id }) => !onServer.has(id) && !here.has(id) && !dropped.has(id) && !givenAgain.has(id),
  );
  expect(lost).toEqual([]);
}

/** What must hold at the end: one truth, and every command of the tablet in it once, in its order, or set aside. */
function bothHoldTheSame({ ring, tablet, bouts, dropped, givenAgain }: Between): void {
  const { desk } = tablet;
  expect([desk.pending, nextToSend(desk), waiting(desk)]).toEqual([[], undefined, 0]);
  const on = bouts.at(-1) ?? "b1";
  expect(desk.boutId).toBe(on);
  expect(desk.bout).toEqual(ring.fold(on));
  expect(desk.bout).toEqual(ring.house.streams.bout(on)?.bout);
  const aside = new Set([...desk.setAside.map(({ pending }) => pending.id), ...dropped, ...givenAgain]);
  for (const bout of bouts) {
    const own = ring.events(bout).flatMap(({ command }) => (command.startsWith("tablet-") ? [command] : []));
    const accepted = tablet.taken.filter((one) => one.bout === bout && !aside.has(one.id));
    expect(own.filter((id, index) => id !== own[index - 1])).toEqual(accepted.map(({ id }) => id));
  }
}

test("any order of presses, news, answers, losses, refusals, reloads and takeovers ends in the server's fold", async () => {
  const total = new Map<string, number>();
  const event = fc.oneof(
    { weight: 3, arbitrary: fc.constantFrom<Event>(...PRESSES) },
    { weight: 5, arbitrary: fc.constantFrom<Event>(...EVENTS) },
  );
  const stories = fc.array(fc.tuple(event, fc.nat({ max: 999 })), { minLength: 30, maxLength: 90 });
  await fc.assert(
    fc.asyncProperty(stories, async (steps) => {
      const ring = await openRing(NIGHT);
      const between = new Between(ring, await openTablet(ring));
      for (const [what, n] of steps) {
        await between.step(what, n);
        nothingIsLostOrDoubled(between);
      }
      await between.deliverAll();
      nothingIsLostOrDoubled(between);
      bothHoldTheSame(between);
      for (const [what, times] of between.happened) total.set(what, (total.get(what) ?? 0) + times);
    }),
    { seed: SEED, numRuns: RUNS },
  );
  // The stories did something: each of these happened, and often.
  for (const what of ["press", "answer first", "event first", "lost", "reload", "the coach acted"])
    expect(total.get(what) ?? 0, what).toBeGreaterThan(RUNS / 5);
  for (const what of ["refused there", "given again", "next bout"])
    expect(total.get(what) ?? 0, what).toBeGreaterThan(2);
});
