/**
 * The chain of a stream: each event carries the SHA-256 of the one before it and of itself, so that a
 * changed, moved or missing event is found by anyone who holds the events.
 */
import { createHash } from "node:crypto";
import { LedgerFault } from "./ledger.ts";
import type { NewEvent, StoredEvent } from "./ledger.ts";

/** Where a stream stands: version 0 and an empty chain before its first event. */
export interface Head {
  readonly version: number;
  readonly chain: string;
}

export const EMPTY_HEAD: Head = { version: 0, chain: "" };

/** An event ready to be stored: its data as canonical text. */
export interface SealedEvent extends Head {
  readonly stream: string;
  readonly type: string;
  readonly text: string;
  readonly at: number;
  readonly command: string;
}

export type ChainCheck =
  | { readonly ok: true; readonly version: number; readonly chain: string }
  | { readonly ok: false; readonly stream: string; readonly version: number; readonly sentence: string };

/**
 * JSON in one way only: RFC 8785 (keys ordered by UTF-16 code units, no space, numbers as ECMAScript
 * prints them), except that a lone surrogate is escaped, not refused, so that a half emoji typed at a
 * table is kept. Properties that are undefined are left out; anything else that JSON cannot hold is a
 * LedgerFault "not-storable" that says where.
 */
export function canonicalJson(value: unknown, where = "data"): string {
  if (value === null || typeof value === "string" || typeof value === "boolean") return JSON.stringify(value);
  if (typeof value === "number") {
    if (!Number.isFinite(value)) throw notStorable(where, String(value));
    return JSON.stringify(value);
  }
  if (Array.isArray(value)) {
    return `[${Array.from(value, (item: unknown, i) => canonicalJson(item, `${where}[${i}]`)).join(",")}]`;
  }
  if (!isPlainObject(value)) throw notStorable(where, describe(value));
  const parts: string[] = [];
  for (const key of Object.keys(value).sort()) {
    const item = value[key];
    if (item !== undefined) parts.push(`${JSON.stringify(key)}:${canonicalJson(item, `${where}.${key}`)}`);
  }
  return `{${parts.join(",")}}`;
}

/** The SHA-256 (hex, 64 digits) that follows `before` with this event; `text` is its data as canonical JSON. */
function nextChain(before: string, event: Omit<SealedEvent, "chain">): string {
  // The keys stand in canonical order, so this is canonicalJson of the whole without a second walk.
  const body =
    `{"at":${event.at},"command":${JSON.stringify(event.command)},"data":${event.text},` +
    `"stream":${JSON.stringify(event.stream)},"type":${JSON.stringify(event.type)},"version":${event.version}}`;
  return createHash("sha256").update(`${before}\n${body}`).digest("hex");
}

/** Chains new events onto a stream's head; refuses ("not-storable") before anything is written. */
export function seal(
  stream: string,
  head: Head,
  events: readonly NewEvent[],
  command: string,
): readonly SealedEvent[] {
  let { version, chain } = head;
  return events.map(({ type, data, at }) => {
    version += 1;
    const open = { stream, version, type, text: canonicalJson(data), at, command };
    chain = nextChain(chain, open);
    return { ...open, chain };
  });
}

/** The event as readers see it; each call gives fresh data, so that no reader can change another's. */
export function unseal(sealed: SealedEvent): StoredEvent {
  const { stream, version, type, at, chain, command } = sealed;
  let data: unknown;
  try {
    data = JSON.parse(sealed.text);
  } catch (error) {
    throw new LedgerFault("damaged", `The data of event ${version} of ${stream} cannot be read.`, error);
  }
  return { stream, version, type, data, at, chain, command };
}

/**
 * Recomputes the chain of one stream's events, given in order. Without `from` they must begin at
 * version 1; with it they go on from that head. A failure names the stream and the first bad version.
 * Events missing at the end cannot be seen: compare the head in the answer with one noted earlier.
 */
export function verifyChain(events: readonly StoredEvent[], from: Head = EMPTY_HEAD): ChainCheck {
  let { version, chain } = from;
  const stream = events[0]?.stream ?? "";
  const bad = (at: number, sentence: string): ChainCheck => ({ ok: false, stream, version: at, sentence });
  for (const event of events) {
    version += 1;
    if (event.stream !== stream)
      return bad(version, `Event ${version} of ${stream} belongs to ${event.stream}.`);
    if (event.version !== version) {
      return bad(
        version,
        `Event ${version} of ${stream} is missing: event ${event.version} stands in its place.`,
      );
    }
    chain = nextChain(chain, { ...event, text: canonicalJson(event.data) });
    if (event.chain !== chain) {
      return bad(version, `Event ${version} of ${stream} was changed: its chain value does not match.`);
    }
  }
  return { ok: true, version, chain };
}

function isPlainObject(value: unknown): value is Readonly<Record<string, unknown>> {
  if (typeof value !== "object" || value === null) return false;
  const prototype: unknown = Object.getPrototypeOf(value);
  return prototype === Object.prototype || prototype === null;
}

function describe(value: unknown): string {
  if (typeof value !== "object" || value === null)
    return value === undefined ? "undefined" : `a ${typeof value}`;
  return `a ${value.constructor.name || "class instance"}`;
}

function notStorable(where: string, what: string): LedgerFault {
  return new LedgerFault("not-storable", `${where} is ${what}, which JSON cannot hold; nothing was written.`);
}
