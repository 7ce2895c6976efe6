/**
 * A whole ledger as text, and back: a header line that names the version, then one JSON line for each rule set, person,
 * seat and event. Tallies stand beside it, as the version that wrote it computed them.
 */
import type { Bout } from "../../engine/index.ts";
import { openLedger, type Ledger, type StoredEvent } from "../../engine/ledger/open.ts";
import { tallyText } from "./tally-text.ts";

/** Which Garland wrote it. */
export interface GoldenHeader {
  readonly golden: string;
  readonly commit: string;
  /** Versions of the ledger's schema and of the scorer. */
  readonly schema: number;
  readonly scorer: number;
}

export async function goldenText(ledger: Ledger, header: GoldenHeader): Promise<string> {
  const lines: unknown[] = [header];
  for (const ruleSet of await ledger.ruleSets()) lines.push({ ruleSet });
  for (const person of await ledger.people()) lines.push({ person });
  for (const seat of await ledger.seats()) lines.push({ seat });
  for (const { stream } of await ledger.streams())
    for (const event of await ledger.read(stream)) lines.push({ event });
  return `${lines.map((line) => JSON.stringify(line)).join("\n")}\n`;
}

/** The tallies of bouts, in the order of their ids. */
export function talliesText(bouts: readonly Bout[]): string {
  const sorted = [...bouts].sort((a, b) => (a.id < b.id ? -1 : 1));
  return sorted.map(({ id, version, tally }) => `${id} (${version} events): ${tallyText(tally)}\n`).join("");
}

export interface Golden {
  readonly header: GoldenHeader;
  readonly events: readonly StoredEvent[];
  /** A ledger in memory into which everything was written again, command by command. */
  readonly ledger: Ledger;
}

type Line = Partial<{
  readonly ruleSet: Parameters<Ledger["putRuleSet"]>[0];
  readonly person: Parameters<Ledger["putPerson"]>[0];
  readonly seat: Parameters<Ledger["putSeat"]>[0];
  readonly event: StoredEvent;
}>;

/** The events of one stream that came with one command stand together, so an append ends where the command changes. */
async function append(ledger: Ledger, events: readonly StoredEvent[]): Promise<void> {
  let batch: StoredEvent[] = [];
  const write = async (): Promise<void> => {
    const [first] = batch;
    if (first === undefined) return;
    const command = { id: first.command, digest: first.command };
    const answer = await ledger.append(first.stream, first.version - 1, batch, command);
    if (answer.outcome !== "appended") throw new Error(`${first.stream} ${first.version}: ${answer.outcome}`);
    batch = [];
  };
  for (const event of events) {
    const last = batch.at(-1);
    if (last !== undefined && (last.stream !== event.stream || last.command !== event.command)) await write();
    batch.push(event);
  }
  await write();
}

export async function readGolden(text: string): Promise<Golden> {
  const [first = "", ...rest] = text.trimEnd().split("\n");
  const lines = rest.map((line) => JSON.parse(line) as Line);
  const ledger = await openLedger({ memory: true });
  for (const { ruleSet, person, seat } of lines) {
    if (ruleSet !== undefined) await ledger.putRuleSet(ruleSet);
    if (person !== undefined) await ledger.putPerson(person);
    if (seat !== undefined) await ledger.putSeat(seat);
  }
  const events = lines.flatMap(({ event }) => event ?? []);
  await append(ledger, events);
  return { header: JSON.parse(first) as GoldenHeader, events, ledger };
}
