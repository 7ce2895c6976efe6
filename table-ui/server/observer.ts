/**
 * Where the parts of the server tell what they do; it goes on into the log, the metrics and the coach's status. Nothing
 * told here changes what the server does, and nothing waits for it.
 */
import type { Logger } from "pino";
import type { Millis } from "../../engine/index.ts";
import { LedgerFault, type Ledger, type SeatKind, type StoredSeat } from "../../engine/ledger/open.ts";
import type { Report } from "../wire/messages.ts";
import type { Cut } from "./crowding.ts";
import { asAsk, asCommandType, asFault, asRefusalCode, type DoorReason } from "./labels.ts";
import { openRefusals } from "./log.ts";
import { openMetrics, type Metrics } from "./metrics.ts";
import { openPresses, timedLedger, type Presses } from "./timing.ts";

/** An append that takes longer keeps people waiting, seconds. */
const SLOW_APPEND_S = 1;

/** A message that has been answered. */
export interface Exchanged {
  readonly name: string;
  /** As it came, unchecked. */
  readonly message: unknown;
  readonly answer: unknown;
  readonly seat: StoredSeat;
  /** Which connection since the start, and which message on it: the request's id in the log. */
  readonly line: number;
  readonly ask: number;
  readonly arrived: Millis;
}

/** What a table's tablet has said of its outbox. */
export interface Outbox {
  readonly waiting: number;
  /** Server time of the oldest press; missing where nothing waits. */
  readonly since?: Millis;
  /** Server time when it was said. */
  readonly saidAt: Millis;
}

export interface Observer {
  readonly metrics: Metrics;
  readonly presses: Presses;
  /** The same ledger, observed. */
  ledger<L extends Ledger>(ledger: L): L;
  /** Server time of this process's last write; undefined before it. */
  lastWrite(): Millis | undefined;
  /** Server time of the last whole copy that this process made. */
  lastBackup(): Millis | undefined;
  came(seat: StoredSeat, line: number): void;
  left(seat: StoredSeat, line: number): void;
  answered(exchanged: Exchanged): void;
  failed(exchanged: Omit<Exchanged, "answer">, error: unknown): void;
  /** A room's version was sent to so many devices. */
  patched(room: string, v: number, kind: SeatKind, devices: number): void;
  /** A view was drawn anew. */
  redrawn(kind: SeatKind, seconds: number): void;
  /** A packet has gone out to a seat of this kind. */
  sent(kind: SeatKind, packet: { readonly data?: string | Uint8Array }): void;
  notLetIn(reason: DoorReason): void;
  cut(why: Cut): void;
  revoked(seat: StoredSeat): void;
  reported(seat: StoredSeat, room: string, report: Report): void;
  /** The latest word of a table about its outbox. */
  outbox(seat: string): Outbox | undefined;
  close(): void;
}

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === "object" && value !== null;

/** "ok", "repeated" or a refusal's code. */
function outcomeOf(answer: unknown): string {
  if (!isObject(answer)) return "other";
  if (answer["ok"] === true) return answer["repeated"] === true ? "repeated" : "ok";
  return isObject(answer["refusal"]) ? asRefusalCode(answer["refusal"]["refused"]) : "other";
}

const commandIn = (message: unknown): string =>
  asCommandType(isObject(message) && isObject(message["command"]) ? message["command"]["type"] : undefined);

const pressedAt = (message: unknown): Millis | undefined =>
  isObject(message) && typeof message["at"] === "number" ? message["at"] : undefined;

const bytesOf = (data: string | Uint8Array | undefined): number =>
  data === undefined ? 0 : typeof data === "string" ? Buffer.byteLength(data) : data.byteLength;

export function openObserver(log: Logger, now: () => Millis): Observer {
  const metrics = openMetrics();
  const presses = openPresses(now);
  const refusals = openRefusals(log);
  const outboxes = new Map<string, Outbox>();
  let lastWrite: Millis | undefined;
  let lastBackup: Millis | undefined;
  /** What the ledger failed with last; told once until something is written again. */
  let failing: string | undefined;

  const appends = (driver: string) => ({
    done(seconds: number): void {
      metrics.appendSeconds.observe({ driver }, seconds);
      if (seconds > SLOW_APPEND_S) log.warn({ seconds, driver }, "the ledger was slow to append");
    },
    wrote(): void {
      lastWrite = now();
      failing = undefined;
    },
    backedUp(): void {
      lastBackup = now();
      log.info("a backup was made");
    },
    failed(error: unknown): void {
      const code = asFault(error instanceof LedgerFault ? error.code : "other");
      metrics.faults.inc({ code });
      if (failing === code) return;
      failing = code;
      log.error({ err: error, code }, "the ledger failed");
    },
  });

  function command({ message, answer, seat, line, ask, arrived }: Exchanged): void {
    const type = commandIn(message);
    const outcome = outcomeOf(answer);
    metrics.commands.inc({ type, outcome });
    log.debug({ line, ask, type, outcome, ms: now() - arrived }, "a command was answered");
    if (outcome === "ok") presses.carriedOut(seat.id, arrived, pressedAt(message));
    else if (outcome !== "repeated") refusals.count(outcome);
  }

  return {
    metrics,
    presses,
    ledger: (ledger) => timedLedger(ledger, appends(ledger.driver)),
    lastWrite: () => lastWrite,
    lastBackup: () => lastBackup,
    came: ({ kind, id }, line) => log.info({ line, kind, seat: id }, "a seat was taken"),
    left: ({ kind, id }, line) => log.info({ line, kind, seat: id }, "a seat was left"),
    answered(exchanged) {
      const { name, message, answer } = exchanged;
      if (name === "command") command(exchanged);
      if (name === "coach") {
        const ask = asAsk(isObject(message) ? message["ask"] : undefined);
        metrics.asks.inc({ ask, outcome: outcomeOf(answer) });
      }
    },
    failed({ name, message, line, ask }, error) {
      const type = name === "command" ? { type: commandIn(message) } : {};
      log.error({ err: error, line, ask, message: name, ...type }, "a message could not be answered");
    },
    patched(room, v, kind, devices) {
      metrics.patches.inc({ kind }, devices);
      presses.drawn(room, v);
    },
    redrawn: (kind, seconds) => metrics.redrawSeconds.observe({ kind }, seconds),
    sent: (kind, { data }) => metrics.sentBytes.inc({ kind }, bytesOf(data)),
    notLetIn(reason) {
      metrics.door.inc({ reason });
      log.debug({ reason }, "somebody was not let in");
    },
    cut(why) {
      metrics.cut.inc({ reason: why });
      log.warn({ why }, "a connection was cut");
    },
    revoked: ({ kind, id }) => log.info({ kind, seat: id }, "a seat's link was ended"),
    reported(seat, room, { waiting, oldest, shown }) {
      if (seat.kind === "table" && waiting !== undefined) {
        const saidAt = now();
        const since = waiting > 0 && oldest !== undefined ? { since: saidAt - oldest } : {};
        outboxes.set(seat.id, { waiting, saidAt, ...since });
      }
      if (shown === undefined) return;
      const seconds = presses.painted(seat.id, room, shown.v, shown.at);
      if (seconds !== undefined) metrics.pressToScreen.observe({ kind: seat.kind }, seconds);
    },
    outbox: (seat) => outboxes.get(seat),
    close: () => refusals.close(),
  };
}
