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
import { maySee } from "../../wire/sealed.ts";

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
  /** A choice that this screen may not see: its event is not shown here before the choice is. */
  readonly sealed?: true;
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

/** [W5] A sealed choice that the table takes for somebody is sent, but its own screen does not know it. */
function isSealed(bout: Bout, event: BoutEvent, around: Surroundings): boolean {
  if (event.type !== "PickSet") return false;
  const picks = around.scorers(bout.ruleSet)?.ruleSet.picks;
  const pick = picks?.find(({ name }) => name === event.pick);
  const sitting = { kind: "table", seat: around.by.seat, ring: bout.ring } as const;
  return pick !== undefined && !maySee(pick, event.side, sitting, bout);
}

function apply(before: Bout, events: readonly BoutEvent[], around: Surroundings): Bout {
  let bout = before;
  for (const event of events)
    if (!isSealed(bout, event, around)) bout = evolveBout(bout, event, bout.version + 1, around.scorers);
  return bout;
}

/** Folds again. A pending command that no longer applies stays pending: the server says what becomes of it. */
function refold(desk: Omit<Desk, "bout">, around: Surroundings): Desk {
  let bout = foldBout(desk.confirmed, around.scorers);
  for (const pending of desk.pending) {
    if (pending.bout !== desk.boutId || bout === undefined) continue;
    const events = decideBout(bout, given(pending, around), around.scorers);
    if (!isRefusal(events)) bout = apply(bout, events, around);
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
  const { bout } = desk;
  const plain: PendingCommand = { ...stamp, bout: desk.boutId, command };
  const events = decideBout(bout, given(plain, around), around.scorers);
  if (isRefusal(events)) return events;
  const sealed = events.every((event) => isSealed(bout, event, around));
  const queued: PendingCommand = sealed ? { ...plain, sealed } : plain;
  return { desk: { ...desk, pending: [...desk.pending, queued], bout: apply(bout, events, around) }, queued };
}

/**
 * Gives a refused command again, under a new id. What was meant for a bout that has left the ring is refused; whatever is
 * refused stays set aside.
 */
export function giveAgain(
  desk: Desk,
  aside: SetAside,
  stamp: { readonly id: string; readonly seq: number; readonly at: number },
  around: Surroundings,
): { readonly desk: Desk; readonly queued: PendingCommand } | Refusal {
  const { id, bout, command } = aside.pending;
  if (bout !== desk.boutId)
    return { refused: "no-such-bout", sentence: "That was for a bout that is not on this ring any more." };
  const again = give(desk, command, stamp, around);
  return isRefusal(again) ? again : { ...again, desk: dropSetAside(again.desk, id) };
}

/** The server's answer to one command. */
export function answered(desk: Desk, answer: Answered, around: Surroundings): Desk {
  const at = desk.pending.findIndex((one) => one.id === answer.id);
  const one = desk.pending[at];
  if (one === undefined) return desk;
  const pending = desk.pending.filter((other) => other.id !== answer.id);
  // No event of a sealed choice, or of a bout that has left the ring, will come to this screen.
  const isComing = one.sealed !== true && (desk.boutId === undefined || one.bout === desk.boutId);
  if (answer.ok && isComing)
    return { ...desk, pending: desk.pending.with(at, { ...one, acknowledged: true }) };
  if (answer.ok) return { ...desk, pending };
  return refold(
    { ...desk, pending, setAside: [...desk.setAside, { pending: one, refusal: answer.refusal }] },
    around,
  );
}

/** Takes a refused command out of what was set aside. */
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
