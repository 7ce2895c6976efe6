/** A ledger in a PostgreSQL that several processes share. */
import type pg from "pg";
import { EMPTY_HEAD, seal, unseal, verifyChain } from "./chain.ts";
import type { Head, SealedEvent } from "./chain.ts";
import { LedgerCannotOpen, LedgerFault } from "./ledger.ts";
import type {
  AppendResult,
  CommandKey,
  HeldStream,
  Ledger,
  NewEvent,
  Person,
  StoredEvent,
  StoredRuleSet,
  StoredSeat,
} from "./ledger.ts";
import {
  asFault,
  cannotReach,
  isPassing,
  isUniqueViolation,
  openPool,
  persist,
  shownAddress,
  unreachable,
  type Asked,
} from "./postgres-reach.ts";
import { personOf, sealedOf, seatOf } from "./postgres-rows.ts";
import type { CommandRow, EventRow, PersonRow, SeatRow } from "./postgres-rows.ts";
import { growSchema, requireSafeSettings } from "./postgres-schema.ts";
import * as sql from "./postgres-statements.ts";
import {
  checkAppend,
  checkPerson,
  checkRuleSet,
  checkSeat,
  ledgerClosed,
  personErased,
  ruleSetDiffers,
} from "./storable.ts";

export interface PostgresOptions {
  /** "postgres://user@host:port/database"; what stands behind "?" goes to the driver (sslmode and the like). */
  readonly postgres: string;
  /** The schema that holds the tables; default "garland". */
  readonly schema?: string;
  /** How long a database that is out of reach is waited for, milliseconds; default 10,000. */
  readonly patienceMs?: number;
}

const STATEMENTS_AT_ONCE = 10;
/**
 * Turns have connections of their own: one that waits for a stream keeps its connection, and if it took that from the
 * others, whoever has the turn might wait for a connection that never comes.
 */
const TURNS_AT_ONCE = 6;

/** Opens or makes the ledger, or rejects with LedgerCannotOpen. */
export async function openPostgres(options: PostgresOptions): Promise<PostgresLedger> {
  const { postgres: address, schema = "garland", patienceMs = 10_000 } = options;
  if (!URL.canParse(address))
    throw new LedgerCannotOpen("unreachable", "The ledger's address is no address.");
  if (!/^[a-z_][a-z0-9_]{0,62}$/.test(schema)) throw new RangeError(`${schema} is no plain schema name`);
  const shown = shownAddress(address);
  const pool = openPool(address, schema, STATEMENTS_AT_ONCE);
  try {
    const client = await persist(patienceMs, () => pool.connect());
    try {
      await requireSafeSettings(client, shown);
      await growSchema(client, schema, shown);
    } finally {
      client.release();
    }
  } catch (error) {
    await pool.end();
    throw error instanceof LedgerCannotOpen ? error : cannotReach(shown, error);
  }
  return new PostgresLedger(pool, openPool(address, schema, TURNS_AT_ONCE), shown, patienceMs);
}

export class PostgresLedger implements Ledger {
  readonly driver = "postgres";
  readonly shared = true;
  readonly #pool: pg.Pool;
  readonly #turns: pg.Pool;
  readonly #shown: string;
  readonly #patienceMs: number;
  /** Heads as this process last knew them: the chain goes on from there if the stream still stands there. */
  readonly #heads = new Map<string, Head>();
  #closed = false;

  constructor(pool: pg.Pool, turns: pg.Pool, shown: string, patienceMs: number) {
    this.#pool = pool;
    this.#turns = turns;
    this.#shown = shown;
    this.#patienceMs = patienceMs;
  }

  async append(
    stream: string,
    expected: number,
    events: readonly NewEvent[],
    command: CommandKey,
  ): Promise<AppendResult> {
    return this.#ask((pool) => this.#append(pool, stream, expected, events, command));
  }

  async inTurn<T>(stream: string, work: (held: HeldStream) => Promise<T>): Promise<T> {
    this.#mustBeOpen();
    const client = await this.#asFaults(() => persist(this.#patienceMs, () => this.#turns.connect()));
    // The statement that runs when the connection breaks tells of it; this keeps the process from ending besides.
    client.on("error", ignore);
    const appended: string[] = [];
    try {
      await this.#asFaults(async () => {
        await client.query("BEGIN");
        // A turn may be waited for as long as others take theirs.
        await client.query("SET LOCAL statement_timeout = 0");
        await client.query(sql.MAKE_HEAD, [stream]);
        await client.query(sql.LOCK_HEAD, [stream]);
      });
      const result = await work(this.#held(client, appended));
      await this.#commit(client, stream, appended);
      this.#give(client);
      return result;
    } catch (error) {
      // Whatever this process took for the head may not stand.
      this.#heads.delete(stream);
      const rolledBack = await client.query("ROLLBACK").then(
        () => true,
        () => false,
      );
      this.#give(client, !rolledBack);
      throw error;
    }
  }

  async read(stream: string, after = 0): Promise<readonly StoredEvent[]> {
    return this.#ask((pool) => this.#read(pool, stream, after));
  }

  async streams(): Promise<readonly { readonly stream: string; readonly version: number }[]> {
    return this.#rows<{ stream: string; version: number }>(sql.STREAMS);
  }

  async outcomeOf(commandId: string): Promise<AppendResult | undefined> {
    return this.#ask((pool) => this.#outcomeOf(pool, commandId));
  }

  async putRuleSet(ruleSet: StoredRuleSet): Promise<void> {
    checkRuleSet(ruleSet);
    const { hash, text } = ruleSet;
    const stored = await this.#ask(async (pool) => {
      const { rowCount } = await pool.query(sql.PUT_RULE_SET, [hash, text]);
      return rowCount === 0 ? (await this.#ruleSet(pool, hash))?.text : text;
    });
    if (stored !== text) throw ruleSetDiffers(hash);
  }

  async ruleSet(hash: string): Promise<StoredRuleSet | undefined> {
    return this.#ask((pool) => this.#ruleSet(pool, hash));
  }

  async ruleSets(): Promise<readonly StoredRuleSet[]> {
    return this.#rows<StoredRuleSet>(sql.RULE_SETS);
  }

  async putPerson(person: Person): Promise<void> {
    const { id, name, shortName, notes, consents, erased } = checkPerson(person);
    const values = [id, name, shortName, notes, JSON.stringify(consents), erased];
    const { rowCount } = await this.#ask((pool) => pool.query(sql.PUT_PERSON, values));
    if (rowCount === 0) throw personErased(id);
    if (erased) await this.#forget();
  }

  async erasePerson(id: string): Promise<void> {
    await this.#ask((pool) => pool.query(sql.ERASE_PERSON, [id]));
    await this.#forget();
  }

  async people(): Promise<readonly Person[]> {
    return (await this.#rows<PersonRow>(sql.PEOPLE)).map(personOf);
  }

  async putSeat(seat: StoredSeat): Promise<void> {
    checkSeat(seat);
    const { id, kind, secretHash, ring, judge, referee, person, revoked } = seat;
    const values = [
      id,
      kind,
      secretHash,
      ring ?? null,
      judge ?? null,
      referee ?? null,
      person ?? null,
      revoked,
    ];
    await this.#ask((pool) => pool.query(sql.PUT_SEAT, values));
  }

  async seats(): Promise<readonly StoredSeat[]> {
    return (await this.#rows<SeatRow>(sql.SEATS)).map(seatOf);
  }

  async beside(): Promise<number> {
    return (await this.#rows<{ n: number }>(sql.BESIDE))[0]?.n ?? 0;
  }

  /** Writes as an append does, and changes nothing. */
  async probe(): Promise<void> {
    await this.#ask((pool) => pool.query("UPDATE beside SET n = n"));
  }

  /** Every flaw found in chains, heads and commands, a sentence each; empty when the ledger is sound. */
  async integrity(): Promise<readonly string[]> {
    const flaws: string[] = [];
    for (const { stream, version, chain } of await this.#rows<Head & { stream: string }>(
      "SELECT stream, version, chain FROM heads WHERE version > 0 ORDER BY stream",
    )) {
      const checked = verifyChain((await this.read(stream)).filter((event) => event.version <= version));
      if (!checked.ok) flaws.push(checked.sentence);
      else if (checked.version !== version || checked.chain !== chain)
        flaws.push(`The stream ${stream} ends at ${checked.version}, and was noted to end at ${version}.`);
    }
    const stray = await this.#rows<{ id: string }>(sql.STRAY_COMMANDS);
    return [...flaws, ...stray.map(({ id }) => `The command ${id} does not match its events.`)];
  }

  async close(): Promise<void> {
    if (this.#closed) return;
    this.#closed = true;
    await Promise.all([this.#pool.end(), this.#turns.end()]);
  }

  async #append(
    to: Asked,
    stream: string,
    expected: number,
    events: readonly NewEvent[],
    command: CommandKey,
  ): Promise<AppendResult> {
    checkAppend(stream, expected, events, command);
    const head = await this.#headAt(to, stream, expected);
    if (head === undefined) return this.#answered(to, stream, command);
    const sealed = seal(stream, head, events, command.id);
    const next = { version: expected + sealed.length, chain: sealed.at(-1)?.chain ?? head.chain };
    if (!(await this.#write(to, { stream, head, next, sealed, command }))) {
      this.#heads.delete(stream);
      return this.#answered(to, stream, command);
    }
    this.#heads.set(stream, next);
    return { outcome: "appended", version: next.version, events: sealed.map(unseal) };
  }

  /** Whether it was written; not where the head had moved or the command's key was there. */
  async #write(to: Asked, { stream, head, next, sealed, command }: Write): Promise<boolean> {
    const column = <K extends keyof SealedEvent>(key: K): SealedEvent[K][] =>
      sealed.map((event) => event[key]);
    const values = [
      ...[stream, head.version, head.chain, next.version, next.chain, command.id, command.digest],
      ...[column("version"), column("type"), column("text"), column("at"), column("chain")],
    ];
    const statement = head.version === 0 ? sql.APPEND_FIRST : sql.APPEND_LATER;
    // In a turn a failed statement would end the whole transaction.
    const inTurn = to !== this.#pool;
    if (inTurn && (await this.#command(to, command.id)) !== undefined) return false;
    try {
      const { rows } = await to.query<{ moved: number }>(statement, values);
      return rows[0]?.moved === 1;
    } catch (error) {
      if (!inTurn && isUniqueViolation(error)) return false;
      throw error;
    }
  }

  /** The head from which a chain can go on at `expected`; undefined where the stream stands elsewhere. */
  async #headAt(to: Asked, stream: string, expected: number): Promise<Head | undefined> {
    const known = this.#heads.get(stream);
    if (known?.version === expected) return known;
    if (expected === 0) return EMPTY_HEAD;
    const { rows } = await to.query<Head>(sql.HEAD, [stream]);
    return rows[0]?.version === expected ? rows[0] : undefined;
  }

  /** Nothing was written: because the command was carried out before, or because the stream stands elsewhere. */
  async #answered(to: Asked, stream: string, { id, digest }: CommandKey): Promise<AppendResult> {
    const before = await this.#command(to, id);
    if (before !== undefined) {
      if (before.digest !== digest || before.stream !== stream) return { outcome: "key-reused" };
      return this.#repeated(to, before);
    }
    const { rows } = await to.query<Head>(sql.HEAD, [stream]);
    return { outcome: "stale", version: rows[0]?.version ?? 0 };
  }

  async #repeated(to: Asked, { stream, first, last }: CommandRow): Promise<AppendResult> {
    return { outcome: "repeated", version: last, events: await this.#read(to, stream, first - 1, last) };
  }

  async #command(to: Asked, id: string): Promise<CommandRow | undefined> {
    return (await to.query<CommandRow>(sql.COMMAND, [id])).rows[0];
  }

  async #outcomeOf(to: Asked, id: string): Promise<AppendResult | undefined> {
    const before = await this.#command(to, id);
    return before && this.#repeated(to, before);
  }

  async #read(
    to: Asked,
    stream: string,
    after: number,
    last = Number.MAX_SAFE_INTEGER,
  ): Promise<readonly StoredEvent[]> {
    const { rows } = await to.query<EventRow>(sql.EVENTS, [stream, Math.max(0, after), last]);
    return rows.map((row) => unseal(sealedOf(row)));
  }

  async #ruleSet(to: Asked, hash: string): Promise<StoredRuleSet | undefined> {
    return (await to.query<StoredRuleSet>(sql.RULE_SET, [hash])).rows[0];
  }

  #held(client: pg.PoolClient, appended: string[]): HeldStream {
    return {
      append: (stream, expected, events, command) =>
        this.#asFaults(async () => {
          const result = await this.#append(client, stream, expected, events, command);
          if (result.outcome === "appended") appended.push(command.id);
          return result;
        }),
      read: (stream, after = 0) => this.#asFaults(() => this.#read(client, stream, after)),
      outcomeOf: (id) => this.#asFaults(() => this.#outcomeOf(client, id)),
    };
  }

  /**
   * Commits a turn. Where the connection broke meanwhile, the stream's row tells: it is free only once the database has
   * finished with the old transaction, and then its commands are there or they are not.
   */
  async #commit(client: pg.PoolClient, stream: string, appended: readonly string[]): Promise<void> {
    try {
      await client.query("COMMIT");
    } catch (error) {
      if (!isPassing(error) || appended.length === 0) throw asFault(error, this.#shown);
      const known = await this.#ask(async (pool) => {
        await pool.query(sql.LOCK_HEAD, [stream]);
        return Promise.all(appended.map((id) => this.#command(pool, id)));
      });
      if (known.some((command) => command === undefined)) throw unreachable(this.#shown, error);
    }
  }

  #give(client: pg.PoolClient, broken = false): void {
    client.off("error", ignore);
    client.release(broken);
  }

  /** What was erased shall not linger in pages that hold no row any more; the database does it later by itself otherwise. */
  async #forget(): Promise<void> {
    await this.#pool.query("VACUUM people").catch(() => undefined);
  }

  #rows<Row extends object>(statement: string): Promise<readonly Row[]> {
    return this.#ask(async (pool) => (await pool.query<Row>(statement)).rows);
  }

  #ask<T>(work: (pool: Asked) => Promise<T>): Promise<T> {
    this.#mustBeOpen();
    return this.#asFaults(() => persist(this.#patienceMs, () => work(this.#pool)));
  }

  async #asFaults<T>(work: () => Promise<T>): Promise<T> {
    try {
      return await work();
    } catch (error) {
      if (error instanceof LedgerFault) throw error;
      throw asFault(error, this.#shown);
    }
  }

  #mustBeOpen(): void {
    if (this.#closed) throw ledgerClosed();
  }
}

interface Write {
  readonly stream: string;
  readonly head: Head;
  readonly next: Head;
  readonly sealed: readonly SealedEvent[];
  readonly command: CommandKey;
}

const ignore = (): void => undefined;
