/**
 * What an engineer's dashboard reads at /metrics, in Prometheus' text format. Names follow Prometheus' practice (from
 * memory: a prefix of our own, base units, `_total` for counters). Labels come from closed lists and never name anybody.
 */
import { createHash, timingSafeEqual } from "node:crypto";
import { collectDefaultMetrics, Counter, Gauge, Histogram, Registry } from "prom-client";
import { SEAT_KINDS, type SeatKind } from "../../engine/ledger/open.ts";
import { CUTS, DOOR_REASONS, FAULTS, STANDINGS } from "./labels.ts";

/** Seconds. An append is a write to a disk; a press goes through a hall's Wi-Fi. */
const APPEND_BUCKETS = [0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10];
const SCREEN_BUCKETS = [0.01, 0.025, 0.05, 0.1, 0.2, 0.3, 0.5, 1, 2, 5, 10, 30, 60];
const REDRAW_BUCKETS = [0.0001, 0.00025, 0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.5];

/** What is read at the moment of asking. */
export interface Gauged {
  readonly version: string;
  readonly driver: string;
  /** Devices connected to this process, by kind of seat. */
  readonly connected: Readonly<Record<SeatKind, number>>;
  /** One for each ring whose table has said what waits there; `ring` counts from 1 in the evening's order. */
  readonly outboxes: readonly {
    readonly ring: number;
    readonly presses: number;
    readonly oldestSeconds: number;
  }[];
  readonly rooms: number;
  readonly standing: string;
  readonly unread: number;
  readonly bouts: number;
  readonly events: number;
}

export interface Metrics {
  readonly commands: Counter<"type" | "outcome">;
  readonly asks: Counter<"ask" | "outcome">;
  readonly appendSeconds: Histogram<"driver">;
  readonly faults: Counter<"code">;
  readonly pressToScreen: Histogram<"kind">;
  readonly patches: Counter<"kind">;
  readonly sentBytes: Counter<"kind">;
  readonly redrawSeconds: Histogram<"kind">;
  readonly door: Counter<"reason">;
  readonly cut: Counter<"reason">;
  readonly contentType: string;
  /** Everything as text, read now. */
  text(gauged: Gauged): Promise<string>;
}

let own: Registry | undefined;

/** What is the process's own (memory, event loop), measured once however many servers it holds, from the first reading on. */
function processMetrics(): Registry {
  if (own === undefined) {
    own = new Registry();
    collectDefaultMetrics({ register: own });
  }
  return own;
}

/** A series that is missing until something goes wrong cannot be watched: those of short lists stand at 0 from the start. */
function fromZero<L extends string>(counter: Counter<L>, label: L, values: readonly string[]): Counter<L> {
  for (const value of values) counter.inc({ [label]: value } as Partial<Record<L, string>>, 0);
  return counter;
}

function openGauges(registers: Registry[]): (gauged: Gauged) => void {
  const gauge = <L extends string>(name: string, help: string, labelNames: readonly L[]): Gauge<L> =>
    new Gauge({ name: `garland_${name}`, help, labelNames: [...labelNames], registers });
  const build = gauge("build_info", "Always 1; the labels tell what runs.", ["version", "driver"]);
  const connected = gauge("seats_connected", "Devices connected to this process.", ["kind"]);
  const presses = gauge("outbox_presses", "Commands that wait on a ring's tablet, as it last said.", [
    "ring",
  ]);
  const oldest = gauge("outbox_oldest_seconds", "How long the first of them has waited.", ["ring"]);
  const rooms = gauge("rooms", "Different views that are kept up to date.", []);
  const standing = gauge("ledger_standing", "1 at the state that the ledger is in.", ["state"]);
  const unread = gauge("rule_sets_unread", "Rule sets in the ledger that this version cannot read.", []);
  const bouts = gauge("bouts", "Bouts that have been called.", []);
  const events = gauge("events", "Events of the streams that have been read.", []);
  return (now) => {
    build.set({ version: now.version, driver: now.driver }, 1);
    for (const kind of SEAT_KINDS) connected.set({ kind }, now.connected[kind]);
    presses.reset();
    oldest.reset();
    for (const each of now.outboxes) {
      presses.set({ ring: String(each.ring) }, each.presses);
      oldest.set({ ring: String(each.ring) }, each.oldestSeconds);
    }
    rooms.set(now.rooms);
    for (const state of STANDINGS) standing.set({ state }, state === now.standing ? 1 : 0);
    unread.set(now.unread);
    bouts.set(now.bouts);
    events.set(now.events);
  };
}

/** The metrics of one server, in a registry of its own. */
export function openMetrics(): Metrics {
  const registry = new Registry();
  const registers = [registry];
  const counter = <L extends string>(name: string, help: string, label: L, ...more: L[]): Counter<L> =>
    new Counter({ name: `garland_${name}_total`, help, labelNames: [label, ...more], registers });
  const histogram = <L extends string>(
    name: string,
    help: string,
    label: L,
    buckets: number[],
  ): Histogram<L> =>
    new Histogram({ name: `garland_${name}_seconds`, help, labelNames: [label], buckets, registers });

  const setGauges = openGauges(registers);
  return {
    commands: counter<"type" | "outcome">("commands", "Commands that were answered.", "type", "outcome"),
    asks: counter<"ask" | "outcome">("coach_requests", "Requests of the coach's page.", "ask", "outcome"),
    appendSeconds: histogram("append", "From asking to durable, or to failure.", "driver", APPEND_BUCKETS),
    faults: fromZero(counter("ledger_faults", "Calls to the ledger that failed.", "code"), "code", FAULTS),
    pressToScreen: histogram(
      "press_to_screen",
      "From the press to the paint on another screen, as the screens report it now and then.",
      "kind",
      SCREEN_BUCKETS,
    ),
    patches: fromZero(counter("patches_sent", "Patches, one for each device.", "kind"), "kind", SEAT_KINDS),
    sentBytes: fromZero(
      counter("sent_bytes", "Bytes of messages sent to devices, without frames.", "kind"),
      "kind",
      SEAT_KINDS,
    ),
    redrawSeconds: histogram("redraw", "Drawing one view anew, and its patch.", "kind", REDRAW_BUCKETS),
    door: fromZero(counter("door_refusals", "Whoever was not let in.", "reason"), "reason", DOOR_REASONS),
    cut: fromZero(counter("sockets_cut", "Devices whose line was cut.", "reason"), "reason", CUTS),
    contentType: registry.contentType,
    async text(gauged) {
      setGauges(gauged);
      return `${await processMetrics().metrics()}\n${await registry.metrics()}`;
    },
  };
}

const digestOf = (text: string): Buffer => createHash("sha256").update(text).digest();

const isLoopback = (address: string | undefined): boolean =>
  address !== undefined && /^(?:::ffff:)?127\.\d+\.\d+\.\d+$|^::1$/i.test(address);

/** What a proxy on this machine adds: then the address is the proxy's and says nothing about who asks. */
const FORWARDED = ["forwarded", "x-forwarded-for", "x-real-ip", "via"];

export interface Reader {
  /** The socket's own address, whatever the request says. */
  readonly address: string | undefined;
  readonly headers: Readonly<Record<string, string | readonly string[] | undefined>>;
}

/** Whether somebody may read the metrics: this machine itself, or whoever shows the token (`Authorization: Bearer ...`). */
export function mayReadMetrics({ address, headers }: Reader, token: string | undefined): boolean {
  if (isLoopback(address) && FORWARDED.every((name) => headers[name] === undefined)) return true;
  const shown = /^Bearer ([\x21-\x7e]+)$/i.exec(String(headers["authorization"] ?? ""))?.[1];
  return token !== undefined && shown !== undefined && timingSafeEqual(digestOf(shown), digestOf(token));
}
