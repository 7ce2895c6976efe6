/**
 * What the table's tablet knows: the server's events, and its own commands that the server has not confirmed yet.
 * The bout on the screen is always the fold of both, so a press shows at once and a lost connection changes nothing.
 * Pure: time, ids and storage arrive from outside.
 */
import {
  decideBout,
  evolveBout,
  foldBout,
  isRefusal,
  type Bout,
  type BoutCommand,
  type BoutEvent,
  type Refusal,
  type Source,
} from "../../../engine/index.ts";
import type { Scorer } from "../../../rules/index.ts";
import type { Answered, Sent } from "../../wire/messages.ts";

export interface PendingCommand {
  /** The idempotency key. */
  readonly id: string;
  /** This device's own count; commands are sent in this order. */
  readonly seq: number;
  /** Server time as this tablet knew it, integer milliseconds. */
  readonly at: number;
  readonly bout: string;
  readonly command: BoutCommand;
  /** The server has it on disk; its event is still on the way to this screen. */
  readonly acknowledged?: true;
}

export interface SetAside {
  readonly pending: PendingCommand;
  readonly refusal: Refusal;
}

export interface Desk {
  readonly boutId?: string;
  /** The server's events of the bout, in order. */
  readonly confirmed: readonly { readonly version: number; readonly data: BoutEvent }[];
  readonly pending: readonly PendingCommand[];
  /** What the server refused: shown, and can be sent again or dropped. */
  readonly setAside: readonly SetAside[];
  /** The fold of all of it. */
  readonly bout?: Bout;
}

export interface Surroundings {
  readonly scorers: (hash: string) => Scorer | undefined;
  readonly by: Source;
}

export const emptyDesk: Desk = { confirmed: [], pending: [], setAside: [] };

/** Folds again. A pending command that no longer applies stays pending: the server says what becomes of it. */
function refold(desk: Omit<Desk, "bout">, around: Surroundings): Desk {
  let bout = foldBout(desk.confirmed, around.scorers);
  for (const pending of desk.pending) {
    if (pending.bout !== desk.boutId || bout === undefined) continue;
    const events = decideBout(bout, given(pending, around), around.scorers);
    if (isRefusal(events)) continue;
    for (const event of events) bout = evolveBout(bout, event, bout.version + 1, around.scorers);
  }
  return bout === undefined ? desk : { ...desk, bout };
}

const given = (pending: PendingCommand, around: Surroundings) => ({
  id: pending.id,
  at: pending.at,
  by: around.by,
  // The desk holds the pen for its own commands; whether the device really does, the server decides anew.
  pen: { epoch: 0, seq: pending.seq },
  command: pending.command,
});

/** The server's news: events by version, and the commands that caused them. */
export function receive(
  desk: Desk,
  news: {
    readonly boutId?: string;
    readonly events: Readonly<Record<string, BoutEvent>>;
    readonly commands: Readonly<Record<string, string>>;
  },
  around: Surroundings,
): Desk {
  const arrived = new Set(Object.values(news.commands));
  const confirmed = Object.entries(news.events)
    .map(([version, data]) => ({ version: Number(version), data }))
    .sort((a, b) => a.version - b.version);
  const pending = desk.pending.filter(
    (one) => !arrived.has(one.id) && !(one.acknowledged && one.bout !== news.boutId),
  );
  const { setAside } = desk;
  return refold(
    { ...(news.boutId === undefined ? {} : { boutId: news.boutId }), confirmed, pending, setAside },
    around,
  );
}

/** Applies a command at once and queues it, or says why it cannot be. */
export function give(
  desk: Desk,
  command: BoutCommand,
  stamp: { readonly id: string; readonly seq: number; readonly at: number },
  around: Surroundings,
): { readonly desk: Desk; readonly queued: PendingCommand } | Refusal {
  if (desk.bout === undefined || desk.boutId === undefined)
    return { refused: "no-such-bout", sentence: "No bout is called to this ring." };
  const queued: PendingCommand = { ...stamp, bout: desk.boutId, command };
  const events = decideBout(desk.bout, given(queued, around), around.scorers);
  if (isRefusal(events)) return events;
  let bout = desk.bout;
  for (const event of events) bout = evolveBout(bout, event, bout.version + 1, around.scorers);
  return { desk: { ...desk, pending: [...desk.pending, queued], bout }, queued };
}

/** The server's answer to one command. */
export function answered(desk: Desk, answer: Answered, around: Surroundings): Desk {
  const at = desk.pending.findIndex((one) => one.id === answer.id);
  const one = desk.pending[at];
  if (one === undefined) return desk;
  if (answer.ok) return { ...desk, pending: desk.pending.with(at, { ...one, acknowledged: true }) };
  const pending = desk.pending.filter((other) => other.id !== answer.id);
  return refold(
    { ...desk, pending, setAside: [...desk.setAside, { pending: one, refusal: answer.refusal }] },
    around,
  );
}

/** Takes a refused command out of what was set aside; to adopt it, give its command again. */
export function dropSetAside(desk: Desk, id: string): Desk {
  return { ...desk, setAside: desk.setAside.filter((one) => one.pending.id !== id) };
}

/** What to send now: the oldest command without an answer. One at a time keeps the order. */
export const nextToSend = (desk: Desk): PendingCommand | undefined =>
  desk.pending.find((one) => !one.acknowledged);

/** How many presses are not yet safe on the server's disk. */
export const waiting = (desk: Desk): number => desk.pending.filter((one) => !one.acknowledged).length;

export const asSent = (pending: PendingCommand, epoch: number): Sent => ({
  id: pending.id,
  on: { bout: pending.bout },
  pen: { epoch, seq: pending.seq },
  at: pending.at,
  command: pending.command,
});
