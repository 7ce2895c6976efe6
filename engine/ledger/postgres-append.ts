/** One append to a PostgreSQL ledger, whatever others write meanwhile: each answer is read, never guessed. */
import type { ClientBase } from "pg";
import { seal, unseal } from "./chain.ts";
import type { Head } from "./chain.ts";
import { LedgerFault } from "./ledger.ts";
import type { AppendResult, CommandKey, NewEvent } from "./ledger.ts";
import { takenKey } from "./postgres-faults.ts";
import { appendAll, repeated, standing } from "./postgres-statements.ts";
import type { Appending } from "./postgres-statements.ts";

export interface AppendJob {
  readonly stream: string;
  readonly expected: number;
  readonly events: readonly NewEvent[];
  readonly command: CommandKey;
}

/** Each further try means that somebody else wrote in between; more of them than this is no longer chance. */
const TRIES = 8;

/** Tries to write; false where the stream has moved or the command's key is taken. */
export type Write = (client: ClientBase, asked: Appending) => Promise<boolean>;

/** Outside a transaction a key that is taken has undone the statement, and nothing else. */
export const writeAlone: Write = async (client, asked) => {
  try {
    return await appendAll(client, asked);
  } catch (error) {
    if (takenKey(error) === undefined) throw error;
    return false;
  }
};

/**
 * `heads` are where streams were last seen: a hint, for the statement itself compares. With `look` the command's key is
 * read first, because an earlier sending may have been written.
 *
 * An earlier sending whose connection was lost may even be written later than this one looks. It does no harm: it would
 * go on from the same head under the same key, so of the two only one can ever be written.
 */
export async function append(
  client: ClientBase,
  heads: Map<string, Head>,
  job: AppendJob,
  look: boolean,
  write: Write = writeAlone,
): Promise<AppendResult> {
  const { stream, expected, events, command } = job;
  let seen = look ? undefined : heads.get(stream);
  for (let tries = 0; tries < TRIES; tries += 1) {
    if (seen?.version !== expected) {
      const { before, head } = await standing(client, command.id, stream);
      if (before !== undefined) {
        const same = before.digest === command.digest && before.stream === stream;
        return same ? repeated(client, before) : { outcome: "key-reused" };
      }
      heads.set(stream, head);
      if (head.version !== expected) return { outcome: "stale", version: head.version };
      seen = head;
    }
    const sealed = seal(stream, seen, events, command.id);
    const version = expected + sealed.length;
    const to = { version, chain: sealed.at(-1)?.chain ?? seen.chain };
    if (await write(client, { stream, from: seen, to, events: sealed, command })) {
      heads.set(stream, to);
      return { outcome: "appended", version, events: sealed.map(unseal) };
    }
    seen = undefined;
  }
  throw new LedgerFault(
    "damaged",
    `Events cannot be added to ${stream}: it does not end where its head says.`,
  );
}
