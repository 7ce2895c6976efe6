/** A server that runs on a data folder, found and asked over loopback by commands of the same machine. */
import { createHash, randomBytes, timingSafeEqual } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { request as httpRequest, type IncomingMessage } from "node:http";
import { request as httpsRequest } from "node:https";
import { join } from "node:path";
import { text } from "node:stream/consumers";
import { isAlive, openedIn, proofOf } from "../server/opened.ts";
import { CannotDo } from "./say.ts";

/** A server that has shown that it is ours. */
export interface RunningServer {
  /** Asks as the coach: `what` is what follows the coach's link. The answer is still to be read. */
  ask(what: string): Promise<IncomingMessage>;
}

/** Nobody answers here, or not as a Garland of this folder would. */
const NOBODY = undefined;

function get(url: string): Promise<IncomingMessage> {
  return new Promise((resolve, reject) => {
    const { protocol } = new URL(url);
    // A hall's certificate is not made out to loopback; the server proves itself by the secret instead.
    const asked =
      protocol === "https:"
        ? httpsRequest(url, { agent: false, rejectUnauthorized: false }, resolve)
        : httpRequest(url, { agent: false }, resolve);
    asked.once("error", reject).end();
  });
}

const same = (a: string, b: string): boolean =>
  timingSafeEqual(createHash("sha256").update(a).digest(), createHash("sha256").update(b).digest());

/** Whether whoever listens there knows the coach's secret: only then may it be sent one. */
async function proves(url: string, secret: string): Promise<boolean> {
  const nonce = randomBytes(24).toString("base64url");
  try {
    const answer = await get(`${url}/open/${nonce}`);
    const said: unknown = JSON.parse(await text(answer));
    return (
      typeof said === "object" &&
      said !== null &&
      "proof" in said &&
      same(String(said.proof), proofOf(secret, nonce))
    );
  } catch {
    return false;
  }
}

function coachSecret(dir: string): string | undefined {
  const file = join(dir, "coach.seat");
  const secret = existsSync(file) ? readFileSync(file, "utf8").trim() : "";
  return /^[\w-]{22}$/.test(secret) ? secret : undefined;
}

/** The server that runs on this data folder; undefined where none answers, also for what a crashed one has left behind. */
export async function findRunning(dir: string): Promise<RunningServer | undefined> {
  const opened = openedIn(dir);
  if (opened === undefined || !isAlive(opened.pid)) return NOBODY;
  const secret = coachSecret(dir);
  if (secret === undefined || !(await proves(opened.url, secret))) return NOBODY;
  return { ask: (what) => get(`${opened.url}/seat/${secret}/${what}`) };
}

/** An answer that is not what was asked for, as a sentence. */
export async function refusedBy(answer: IncomingMessage): Promise<CannotDo> {
  const status = answer.statusCode ?? 0;
  const said = (await text(answer)).trim();
  const isPlain = answer.headers["content-type"]?.startsWith("text/plain") === true;
  return new CannotDo(
    isPlain && said !== "" ? said : `The running server refused it (${status}); stop it, and try again.`,
  );
}
