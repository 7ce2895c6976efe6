/** Those who make a simulated evening: each holds a real link, sees its view and does what its seat would do. */
import {
  isRefusal,
  type Bout,
  type BoutCommand,
  type MeetCommand,
  type RecordedExchange,
  type Side,
} from "../../engine/index.ts";
import { compile, readRuleSet, type Scorer } from "../../rules/index.ts";
import type { CoachRequest } from "../../table-ui/wire/messages.ts";
import { newId, openLink, type Link, type LinkState } from "../../table-ui/screens/shared/link.ts";
import {
  answered,
  asSent,
  dropSetAside,
  emptyDesk,
  give,
  nextToSend,
  receive,
  waiting,
  type Desk,
} from "../../table-ui/screens/table/desk.ts";
import type { CoachView, FencerView, JudgeView, TableView, View } from "../../table-ui/wire/views.ts";
import { pageAt } from "./evening-network.ts";

/** What all robots share: seeded chance, time that runs faster, and what they did. */
export interface Evening {
  /** 0 <= chance < 1, always the same row. */
  readonly chance: () => number;
  /** Waits this many simulated milliseconds; longer while the evening is held. */
  readonly wait: (ms: number) => Promise<void>;
  /** How often each thing was done, so that a story cannot be empty. */
  readonly done: Map<string, number>;
  readonly over: () => boolean;
}

export const count = ({ done }: Evening, what: string): void =>
  void done.set(what, (done.get(what) ?? 0) + 1);

/** A device in a seat. */
export class Robot<V extends View = View> {
  readonly link: Link;
  readonly evening: Evening;
  view: V | undefined;
  state: LinkState = "linking";
  /** Commands without an answer. */
  unanswered = 0;

  constructor(evening: Evening, port: number, path: string) {
    this.evening = evening;
    pageAt(port, path);
    this.link = openLink<V>({
      view: (view) => {
        this.view = view;
        this.seen(view);
      },
      state: (state) => {
        this.state = state;
      },
    });
  }

  protected seen(_view: V): void {}

  /** Gives a command over the link; whether it was taken. */
  async give(bout: string, command: BoutCommand): Promise<boolean> {
    this.unanswered += 1;
    const answer = await this.link.command({ bout }, command);
    this.unanswered -= 1;
    count(this.evening, answer.ok ? command.type : `${command.type} refused`);
    return answer.ok;
  }

  /** Lives until the evening is over: looks about every so often, as people do. */
  async live(everyMs: number): Promise<void> {
    while (!this.evening.over()) {
      await this.evening.wait(everyMs * (0.5 + this.evening.chance()));
      if (!this.evening.over() && this.view !== undefined) await this.act(this.view);
    }
  }

  protected async act(_view: V): Promise<void> {}
}

const TARGETS = ["head", "torso", "arm", "leg"] as const;

/** A hit, the taught answer with its cue, a double, or nothing. */
function someExchange(chance: () => number): RecordedExchange {
  const by: Side = chance() < 0.5 ? "red" : "blue";
  const other: Side = by === "red" ? "blue" : "red";
  const target = TARGETS[Math.floor(chance() * TARGETS.length)] ?? "arm";
  const kind = chance();
  const hit = { id: "a1", by, kind: "attack", form: "thrust", target, end: "hit" } as const;
  if (kind < 0.4) return { acts: [hit], open: chance() < 0.3 };
  if (kind < 0.5) return { acts: [hit, { ...hit, id: "a2", by: other }], how: "double", open: false };
  if (kind < 0.6) return { acts: [], how: "no exchange", open: false };
  const cut = { id: "a1", by: other, kind: "attack", form: "cut", target: "head" } as const;
  const direction = chance() < 0.7 ? ({ direction: "descending" } as const) : {};
  return {
    acts: [
      { ...cut, ...direction },
      { id: "a2", by, kind: "parry" },
      { id: "a3", by, kind: "riposte", form: "thrust", target, end: chance() < 0.7 ? "hit" : "fall short" },
    ],
    open: false,
  };
}

/** Texts never change under their hash, so each is read once. */
const scorers = new Map<string, Scorer | undefined>();
function scorerOf(text: string): Scorer | undefined {
  if (!scorers.has(text)) {
    const read = readRuleSet(text);
    scorers.set(text, read.ok ? compile(read.value) : undefined);
  }
  return scorers.get(text);
}

/** A table's tablet: the page's own desk, an outbox, and the pen when it wants it. */
export class Tablet extends Robot<TableView> {
  readonly device: string;
  /** Whether somebody scores with it; the others only look on. */
  scores: boolean;
  desk: Desk = emptyDesk;
  private seq = 0;
  private sending = false;

  constructor(evening: Evening, port: number, path: string, device: string, scores: boolean) {
    super(evening, port, path);
    this.device = device;
    this.scores = scores;
  }

  private get around() {
    const { view } = this;
    return {
      scorers: (hash: string) => {
        const text = view?.ruleSetTexts?.[hash] ?? view?.ruleSetText;
        return text === undefined ? undefined : scorerOf(text);
      },
      by: { seat: view?.seat ?? "table", kind: "table" } as const,
    };
  }

  get holdsPen(): boolean {
    return this.view?.pen?.device === this.device;
  }

  /** Presses that are not on the server's disk. */
  get waiting(): number {
    return waiting(this.desk) + this.desk.setAside.length + this.unanswered;
  }

  protected override seen(view: TableView): void {
    this.desk = receive(this.desk, view, this.around);
    void this.pump();
  }

  async takePen(): Promise<void> {
    const ring = this.view?.ring;
    if (ring === undefined) return;
    this.unanswered += 1;
    await this.link.command("meet", { type: "TakePen", ring, device: this.device });
    this.unanswered -= 1;
    count(this.evening, "TakePen");
  }

  /** One command at a time, as the page sends them. */
  async pump(): Promise<void> {
    if (this.sending) return;
    this.sending = true;
    for (let next = nextToSend(this.desk); next && this.holdsPen; next = nextToSend(this.desk)) {
      const answer = await this.link.send(asSent(next, this.view?.pen?.epoch ?? 0));
      this.desk = answered(this.desk, answer, this.around);
      count(this.evening, answer.ok ? next.command.type : `${next.command.type} set aside`);
      // What the server refused is looked at, and dropped.
      if (!answer.ok) this.desk = dropSetAside(this.desk, next.id);
    }
    this.sending = false;
  }

  /** A press; whether the desk took it. */
  press(command: BoutCommand): boolean {
    this.seq += 1;
    const stamp = { id: newId(), seq: this.seq, at: this.link.now() };
    const given = give(this.desk, command, stamp, this.around);
    if (isRefusal(given)) return false;
    this.desk = given.desk;
    if (this.state !== "linked") count(this.evening, "pressed while away");
    void this.pump();
    return true;
  }

  protected override async act(): Promise<void> {
    if (!this.scores) return;
    if (!this.holdsPen && this.state === "linked") await this.takePen();
    const { bout } = this.desk;
    if (bout !== undefined && this.holdsPen)
      for (const command of this.wishes(bout)) if (this.press(command)) return;
  }

  /** What a table would do now, most likely first. */
  private wishes(bout: Bout): readonly BoutCommand[] {
    const { chance } = this.evening;
    const points = bout.tally.points;
    const ending = points.red === points.blue ? "draw" : points.red > points.blue ? "red wins" : "blue wins";
    switch (bout.stage) {
      case "called":
        return [{ type: "ConfirmCheck" }];
      case "checked":
        return [{ type: "ComeOnGuard" }];
      case "fencing":
        return [{ type: "CallHalt" }];
      case "ended":
        return bout.confirmed.length < 2 ? [{ type: "ConfirmResult" }] : [];
      case "halted":
        if (!this.isRecorded(bout)) return [this.record(), { type: "EndBout" }, { type: "EndBout", ending }];
        if (chance() < 0.1) return [this.mend(bout), { type: "StartFencing" }];
        return [{ type: "StartFencing" }, { type: "EndBout" }, { type: "EndBout", ending }];
      default:
        return [
          { type: "StartFencing" },
          { type: "EndBout" },
          { type: "EndBout", ending },
          { type: "Resume" },
        ];
    }
  }

  /** Whether the exchange that was halted is on record: there are as many as halts. */
  private isRecorded(bout: Bout): boolean {
    const { boutId, confirmed, pending } = this.desk;
    const known = confirmed.filter(({ data }) => data.type === "HaltCalled").length;
    const own = pending.filter(({ bout, command }) => bout === boutId && command.type === "CallHalt").length;
    return bout.exchanges.length >= known + own;
  }

  private record(): BoutCommand {
    return {
      type: "RecordExchange",
      exchange: newId().slice(0, 10),
      record: someExchange(this.evening.chance),
    };
  }

  /** A correction: an earlier exchange was otherwise, or the latest is taken back. */
  private mend(bout: Bout): BoutCommand {
    const { chance } = this.evening;
    const exchange = bout.exchanges[Math.floor(chance() * bout.exchanges.length)]?.id;
    if (exchange === undefined || chance() < 0.3) return { type: "Undo" };
    return { type: "ChangeExchange", exchange, record: someExchange(chance), why: "seen otherwise" };
  }
}

/** The coach: keeps a bout on every ring, and enters who comes late. */
export class Coach extends Robot<CoachView> {
  private no = 0;

  /** A command for the evening; whether it was taken. */
  async say(command: MeetCommand): Promise<boolean> {
    this.unanswered += 1;
    const answer = await this.link.command("meet", command);
    this.unanswered -= 1;
    count(this.evening, answer.ok ? command.type : `${command.type} refused`);
    return answer.ok;
  }

  async ask(
    request: CoachRequest,
  ): Promise<{ readonly id: string; readonly path: string; readonly hash: string }> {
    const answer = await this.link.ask(request);
    if (!answer.ok) throw new Error(`${request.ask}: ${answer.refusal.sentence}`);
    count(this.evening, request.ask);
    const { id = "", path = "", hash = "" } = answer;
    return { id, path, hash };
  }

  /** Enters a fencer and gives the path of their seat. */
  async enter(name: string): Promise<string> {
    const { id: person } = await this.ask({ ask: "add fencer", name, shortName: name, consents: [] });
    return (await this.ask({ ask: "issue seat", kind: "fencer", person })).path;
  }

  protected override async act({ meet, bouts }: CoachView): Promise<void> {
    for (const { id: ring, bout } of meet.rings) {
      const on = bout === undefined ? undefined : bouts[bout];
      if (bout !== undefined && on === undefined) continue;
      if (on !== undefined && (on.stage !== "ended" || on.confirmed.length < 2)) continue;
      if (on !== undefined && !(await this.say({ type: "ClearRing", ring }))) continue;
      await this.callNext(meet, ring);
    }
  }

  /** Those who have waited longest among the free, and who have not just met. */
  private async callNext({ rings, fencers, called, shelf }: CoachView["meet"], ring: string): Promise<void> {
    const onRings = new Set(rings.flatMap(({ bout }) => bout ?? []));
    const busy = new Set(called.flatMap(({ bout, red, blue }) => (onRings.has(bout) ? [red, blue] : [])));
    const lastBout = (person: string): number =>
      called.findLastIndex(({ red, blue }) => red === person || blue === person);
    const free = fencers.map(({ person }) => person).filter((person) => !busy.has(person));
    const [red, blue] = free.sort((a, b) => lastBout(a) - lastBout(b));
    // Rings in turn fence under each of the evening's rule sets.
    const at = rings.findIndex(({ id }) => id === ring);
    const ruleSet = shelf[at % shelf.length]?.ruleSet;
    if (red === undefined || blue === undefined || ruleSet === undefined) return;
    this.no += 1;
    const bout = `bout-${this.no}`;
    if (!(await this.say({ type: "PlanBout", bout, ring, red, blue, ruleSet }))) return;
    this.unanswered += 1;
    const answer = await this.link.ask({ ask: "call bout", bout });
    this.unanswered -= 1;
    count(this.evening, answer.ok ? "call bout" : "call bout refused");
    if (!answer.ok) await this.say({ type: "DropPlannedBout", bout });
  }
}

/** A judge: votes on what is to be voted on, some seconds after the halt, and now and then says "not seen". */
export class Judge extends Robot<JudgeView> {
  protected override async act({ bout, ballot }: JudgeView): Promise<void> {
    if (bout === undefined || ballot === undefined || ballot.cast !== undefined) return;
    const vote = ballot.votes[Math.floor(this.evening.chance() * ballot.votes.length)];
    if (vote === undefined) return;
    const { label, facts = [], picture } = vote;
    const { exchange } = ballot;
    const notSeen = picture === "unseen" ? { notSeen: true } : {};
    await this.give(bout.id, { type: "Vote", exchange, facts, label, ...notSeen });
  }
}

/** A fencer: answers what is asked of them, confirms a result, and seldom questions an exchange. */
export class Fencer extends Robot<FencerView> {
  protected override async act({ bout, side, calls }: FencerView): Promise<void> {
    if (bout === undefined || side === undefined) return;
    const { chance } = this.evening;
    const asked = calls[Math.floor(chance() * calls.length)];
    const call = asked?.calls[Math.floor(chance() * asked.calls.length)];
    if (asked !== undefined && call !== undefined && chance() < 0.3)
      await this.give(bout.id, { type: "GiveFacts", exchange: asked.exchange, facts: call.facts });
    else if (bout.stage === "ended" && !bout.confirmed.includes(side))
      await this.give(bout.id, { type: "ConfirmResult", side });
    else if (chance() < 0.01 && bout.order[0] !== undefined)
      await this.give(bout.id, { type: "QuestionExchange", exchange: bout.order[0], side, why: "I parried" });
  }
}
