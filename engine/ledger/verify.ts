/**
 * The check of a whole ledger, whatever keeps it: every chain, every figure that was acknowledged, the evening's claims,
 * draws by chance, and what a file shows of itself. It gives way all the time, so that a running evening goes on.
 */
import { setImmediate as giveWay } from "node:timers/promises";
import { BoutCheck, type BoutTrace } from "../verify/bout.ts";
import { CURES, type Difference } from "../verify/difference.ts";
import { EveningCheck } from "../verify/evening.ts";
import type { Known } from "../verify/named.ts";
import { checkShelf, type CheckedShelf } from "../verify/shelf.ts";
import { verifyChain } from "./chain.ts";
import type { Examined, LastingLedger, Ledger, Person, StoredEvent } from "./ledger.ts";
import { LedgerFault } from "./ledger.ts";

/** What the check of a ledger says. */
export interface LedgerReport {
  /** "sqlite (libsql)", "memory", ... */
  readonly driver: string;
  readonly bouts: number;
  readonly events: number;
  readonly people: number;
  /** Nothing here: all sound. */
  readonly differences: readonly Difference[];
  /** What was not looked at or cannot be told, and why, a sentence each. */
  readonly remarks: readonly string[];
}

export interface VerifyOptions {
  /** People are waiting for this ledger's answers meanwhile. */
  readonly serving?: boolean;
  /** Notes afterwards where every stream stands, at this server time, where the ledger can; missing: nothing is written. */
  readonly noteAt?: number;
  /** Hears how many streams of how many are done. */
  readonly progress?: (done: number, of: number) => void;
}

const MEET = "meet";
const BOUT = "bout/";
/** Events computed anew between two turns of everybody else. */
const AT_ONCE = 40;

const hasFile = (ledger: Ledger): ledger is LastingLedger => "examine" in ledger;

interface Around {
  readonly shelf: CheckedShelf;
  readonly known: Known;
}

class LedgerCheck {
  readonly #ledger: Ledger;
  readonly #options: VerifyOptions;
  readonly #found: Difference[] = [];
  readonly #traces = new Map<string, BoutTrace>();
  /** Streams of which a part cannot be trusted. */
  readonly #damaged = new Set<string>();
  #events = 0;

  constructor(ledger: Ledger, options: VerifyOptions) {
    this.#ledger = ledger;
    this.#options = options;
  }

  async run(): Promise<LedgerReport> {
    const file = await this.#file();
    if (file.unreadable) return this.#report(undefined, file.leftOut);
    const shelf = checkShelf(await this.#table("rule sets", () => this.#ledger.ruleSets()));
    this.#found.push(...shelf.differences);
    const people = await this.#table("people", () => this.#ledger.people());
    const seats = await this.#table("seats", () => this.#ledger.seats());
    const known: Known = {
      people: people && new Set(people.map(({ id }) => id)),
      seats: seats && new Set(seats.map(({ id }) => id)),
    };
    await this.#streams({ shelf, known });
    const remarks = [...file.leftOut, ...this.#otherHashes(shelf), ...(await this.#note())];
    return this.#report(people, remarks);
  }

  /** A text that gives another hash: a remark while its bouts come out the same, a difference where one does not. */
  #otherHashes(shelf: CheckedShelf): readonly string[] {
    const remarks: string[] = [];
    for (const [hash, sentence] of shelf.otherHash) {
      const bouts = [...this.#traces.values()].filter(({ ruleSets }) => ruleSets.includes(hash));
      if (bouts.every(({ differs }) => !differs))
        remarks.push(`${sentence} before it was noted. Its bouts (${bouts.length}) come out the same.`);
      else this.#found.push({ where: "rule sets", sentence: `${sentence}.`, cure: CURES.goBackOrKeep });
    }
    return remarks;
  }

  #report(people: readonly Person[] | undefined, remarks: readonly string[]): LedgerReport {
    return {
      driver: this.#ledger.driver,
      bouts: this.#traces.size,
      events: this.#events,
      people: people?.filter(({ erased }) => !erased).length ?? 0,
      differences: this.#found,
      remarks,
    };
  }

  async #note(): Promise<readonly string[]> {
    const { noteAt } = this.#options;
    if (noteAt === undefined || !hasFile(this.#ledger)) return [];
    try {
      await this.#ledger.noteHeads(noteAt);
      return [];
    } catch (error) {
      return [`Where the streams stand could not be noted: ${why(error)}`];
    }
  }

  async #file(): Promise<Omit<Examined, "differences">> {
    if (!hasFile(this.#ledger)) return { unreadable: false, leftOut: [] };
    const { differences, ...rest } = await this.#ledger.examine(this.#options.serving);
    this.#found.push(...differences);
    return rest;
  }

  /** A table whole, or the difference that it cannot be read. */
  async #table<T>(where: string, read: () => Promise<readonly T[]>): Promise<readonly T[] | undefined> {
    try {
      return await read();
    } catch (error) {
      this.#found.push({ where, sentence: `They cannot be read: ${why(error)}`, cure: CURES.goBack });
      return undefined;
    }
  }

  /**
   * A bout may grow while the others are read. What the evening says of a bout was true of the bout before, and what a bout
   * says of the evening was true of the evening before: so the evening is read both before and after the bouts.
   */
  async #streams(around: Around): Promise<void> {
    const before = await this.#evening(around, await this.#sound(MEET));
    const streams = (await this.#ledger.streams()).map(({ stream }) => stream);
    let done = 0;
    for (const stream of streams) {
      if (stream.startsWith(BOUT)) await this.#bout(stream, around);
      else if (stream !== MEET) this.#strange(stream);
      this.#options.progress?.((done += 1), streams.length);
      await giveWay();
    }
    this.#found.push(...before.done(new Set(this.#traces.keys())));
    // An evening that is damaged says nothing of its bouts; that it is damaged is told.
    if (this.#damaged.has(MEET)) return;
    const after = await this.#evening(around, await this.#ledger.read(MEET));
    for (const [bout, trace] of this.#traces) {
      this.#found.push(...before.checkClaims(bout, trace));
      this.#found.push(...after.checkBout(bout, `${BOUT}${bout}`, trace));
    }
  }

  async #evening(around: Around, events: readonly StoredEvent[]): Promise<EveningCheck> {
    const evening = new EveningCheck(MEET, around);
    await this.#slowly(events, (event) => evening.take(event));
    return evening;
  }

  async #bout(stream: string, around: Around): Promise<void> {
    const id = stream.slice(BOUT.length);
    const check = new BoutCheck(id, stream, around);
    await this.#slowly(await this.#sound(stream), (event) => check.take(event));
    const { differences, trace } = check.done();
    this.#found.push(...differences);
    this.#traces.set(id, { ...trace, whole: trace.whole && !this.#damaged.has(stream) });
  }

  async #slowly(events: readonly StoredEvent[], take: (event: StoredEvent) => void): Promise<void> {
    for (const [at, event] of events.entries()) {
      take(event);
      if (at % AT_ONCE === AT_ONCE - 1) await giveWay();
    }
  }

  #strange(stream: string): void {
    this.#found.push({
      where: stream,
      sentence: "This stream is neither the evening nor a bout.",
      cure: CURES.goBackOrKeep,
    });
  }

  /** A stream's events up to the first that its chain, or its row, shows to be damaged; that one is told. */
  async #sound(stream: string): Promise<readonly StoredEvent[]> {
    const events = await this.#readAll(stream);
    this.#events += events.length;
    const chain = verifyChain(events);
    if (chain.ok) return events;
    const { version, sentence } = chain;
    this.#damaged.add(stream);
    this.#found.push({ where: stream, version, sentence, cure: CURES.goBack });
    return events.filter((event) => event.version < version);
  }

  async #readAll(stream: string): Promise<readonly StoredEvent[]> {
    try {
      return await this.#ledger.read(stream);
    } catch (error) {
      if (error instanceof LedgerFault && error.code === "closed") throw error;
      this.#damaged.add(stream);
      const version = await this.#lastUnreadable(stream);
      this.#found.push({ where: stream, version, sentence: why(error), cure: CURES.goBack });
      return [];
    }
  }

  /** Reading after an event succeeds from the last bad one on: that one is found by halving. */
  async #lastUnreadable(stream: string): Promise<number> {
    let bad = 0;
    let good = (await this.#ledger.streams()).find((each) => each.stream === stream)?.version ?? 0;
    while (good - bad > 1) {
      const middle = Math.floor((bad + good) / 2);
      const reads = await this.#ledger.read(stream, middle).then(
        () => true,
        () => false,
      );
      if (reads) good = middle;
      else bad = middle;
    }
    return good;
  }
}

function why(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

/** Checks a whole ledger; with `noteAt` alone it writes anything. Rejects only where the ledger cannot be asked at all. */
export const verifyLedger = (ledger: Ledger, options: VerifyOptions = {}): Promise<LedgerReport> =>
  new LedgerCheck(ledger, options).run();
