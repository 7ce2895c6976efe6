/** What keeps the ledger of a running server: the check of everything in it, and a whole copy of it. For the coach only. */
import { createReadStream, readdirSync, rmSync } from "node:fs";
import { stat } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { Readable } from "node:stream";
import { setTimeout as wait } from "node:timers/promises";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { nanoid } from "nanoid";
import {
  LedgerFault,
  verifyLedger,
  type LastingLedger,
  type Ledger,
  type LedgerReport,
} from "../../engine/ledger/open.ts";
import type { House } from "./house.ts";
import { proofOf } from "./opened.ts";

export interface KeepingOptions {
  readonly house: House;
  /** Answers a link that opens nothing, as every other route does. */
  readonly lost: (request: FastifyRequest, reply: FastifyReply) => Promise<FastifyReply>;
}

/** One line of the answer to "verify": how far it is, and at last what was found. */
export type VerifyLine = { readonly done: number; readonly of: number } | { readonly report: LedgerReport };

/** Times a minute; each costs some seconds of work. */
const A_MINUTE = 20;
/** A line goes out this often, so that nobody takes the connection for dead. */
const TELL_EVERY_MS = 1_000;

const LOOPBACK: ReadonlySet<string> = new Set(["127.0.0.1", "::1", "::ffff:127.0.0.1"]);
const COPY = ".copy-";

const hasFile = (ledger: Ledger): ledger is LastingLedger => "backupTo" in ledger;

/** Copies that a crash left behind. A data folder has one server, so none of them is being sent. */
function sweep(ledger: LastingLedger): void {
  const folder = dirname(ledger.file);
  const start = `${basename(ledger.file)}${COPY}`;
  for (const name of readdirSync(folder))
    if (name.startsWith(start)) rmSync(join(folder, name), { force: true });
}

/** Checks as lines of JSON. Two who ask at the same time are told of the same check. */
function openChecks({ ledger, now }: House): () => AsyncGenerator<string> {
  let checking: Promise<LedgerReport> | undefined;
  let progress = { done: 0, of: 0 };
  const start = (): Promise<LedgerReport> =>
    verifyLedger(ledger, {
      serving: true,
      noteAt: now(),
      progress: (done, of) => (progress = { done, of }),
    }).finally(() => (checking = undefined));
  const line = (said: VerifyLine): string => `${JSON.stringify(said)}\n`;

  return async function* lines() {
    checking ??= start();
    const mine = checking.then((report) => ({ report }));
    for (;;) {
      const found = await Promise.race([mine, wait(TELL_EVERY_MS)]);
      yield line(found ?? progress);
      if (found !== undefined) return;
    }
  };
}

/** Sends a whole copy of the ledger; the copy is gone when it is sent, or when the line is cut. */
async function sendCopy({ ledger, now }: House, reply: FastifyReply): Promise<FastifyReply> {
  void reply.header("cache-control", "no-store");
  if (!hasFile(ledger)) {
    const sentence = `This evening is not kept in a file (${ledger.driver}): back it up where it is kept.`;
    return reply.code(409).type("text/plain; charset=utf-8").send(`${sentence}\n`);
  }
  const copy = `${ledger.file}${COPY}${nanoid()}`;
  try {
    await ledger.noteHeads(now());
    await ledger.backupTo(copy);
    const { size } = await stat(copy);
    const bytes = createReadStream(copy);
    bytes.once("close", () => rmSync(copy, { force: true }));
    return await reply
      .type("application/vnd.sqlite3")
      .header("content-length", size)
      .header("content-disposition", 'attachment; filename="garland.sqlite"')
      .send(bytes);
  } catch (error) {
    rmSync(copy, { force: true });
    if (!(error instanceof LedgerFault)) throw error;
    return reply.code(503).type("text/plain; charset=utf-8").send(`${error.message}\n`);
  }
}

/** [W29] [W30] The routes of `garland verify` and `garland backup`. */
export function keepingRoutes(app: FastifyInstance, { house, lost }: KeepingOptions): void {
  if (hasFile(house.ledger)) sweep(house.ledger);
  const checks = openChecks(house);
  const config = { rateLimit: { max: A_MINUTE, timeWindow: 60_000 } };
  const isCoach = (secret: string): boolean => house.seats.find(secret)?.kind === "coach";

  app.get<{ Params: { nonce: string } }>("/open/:nonce", { config }, async (request, reply) => {
    const { nonce } = request.params;
    const secret = house.seats.coachPath.replace("/seat/", "");
    if (!LOOPBACK.has(request.ip) || secret === "" || !/^[\w-]{16,64}$/.test(nonce))
      return lost(request, reply);
    return reply.header("cache-control", "no-store").send({ proof: proofOf(secret, nonce) });
  });
  app.get<{ Params: { secret: string } }>("/seat/:secret/verify", { config }, async (request, reply) => {
    if (!isCoach(request.params.secret)) return lost(request, reply);
    return reply
      .type("application/x-ndjson; charset=utf-8")
      .header("cache-control", "no-store")
      .send(Readable.from(checks()));
  });
  app.get<{ Params: { secret: string } }>(
    "/seat/:secret/ledger.sqlite",
    { config },
    async (request, reply) =>
      isCoach(request.params.secret) ? sendCopy(house, reply) : lost(request, reply),
  );
}
