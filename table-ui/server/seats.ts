/** Seats and their secrets: a link's secret opens the page and the socket; the ledger keeps only its hash. */
import { createHash } from "node:crypto";
import { chmodSync, existsSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { nanoid } from "nanoid";
import type { Ledger, StoredSeat } from "../../engine/ledger/open.ts";
import type { Sitting } from "../wire/hall.ts";

/** Letters of a secret: 22 of 64 are 132 bits. */
const SECRET_LENGTH = 22;

const hashOf = (secret: string): string => createHash("sha256").update(secret).digest("hex");

/** What a seat is for, as the coach asks for it. */
export type NewSeat = Omit<StoredSeat, "id" | "secretHash" | "revoked">;
export interface Issued {
  readonly seat: StoredSeat;
  readonly path: string;
}

export interface Seats {
  /** The seat that a secret opens; undefined if there is none, or if it was revoked. */
  find(secret: string): StoredSeat | undefined;
  /** Whether a secret once opened a seat and does no more. */
  wasRevoked(secret: string): boolean;
  get(id: string): StoredSeat | undefined;
  all(): readonly StoredSeat[];
  issue(seat: NewSeat): Promise<Issued>;
  /** A new secret for the same seat; the old one opens nothing any more. */
  reissue(id: string): Promise<Issued | undefined>;
  revoke(id: string): Promise<StoredSeat | undefined>;
  /** The link's path, for seats whose secret this process knows. */
  pathOf(id: string): string | undefined;
  readonly coachPath: string;
}

export const pathFor = (secret: string): string => `/seat/${secret}`;

/** The coach's secret from a start before this one. */
function readSecret(file: string | undefined): string | undefined {
  if (file === undefined || !existsSync(file)) return undefined;
  const secret = readFileSync(file, "utf8").trim();
  return /^[A-Za-z0-9_-]{22}$/.test(secret) ? secret : undefined;
}

/** Written beside and moved into place, so that a crash leaves the old file or the new one. */
function writeSecret(file: string | undefined, secret: string): void {
  if (file === undefined) return;
  const fresh = `${file}.new`;
  writeFileSync(fresh, `${secret}\n`, { mode: 0o600 });
  // The mode above counts only for a file that was not there yet.
  chmodSync(fresh, 0o600);
  renameSync(fresh, file);
}

/**
 * Opens the seats of a ledger. `secretFile` holds the coach's secret between starts (mode 0600); without it every start
 * has a coach's link of its own.
 */
export async function openSeats(ledger: Ledger, secretFile?: string): Promise<Seats> {
  const seats = new Map((await ledger.seats()).map((seat) => [seat.id, seat]));
  const secrets = new Map<string, string>();
  const former = new Set<string>();

  const put = async (seat: StoredSeat): Promise<StoredSeat> => {
    await ledger.putSeat(seat);
    seats.set(seat.id, seat);
    return seat;
  };
  const seal = async (seat: Omit<StoredSeat, "secretHash" | "revoked">): Promise<Issued> => {
    const secret = nanoid(SECRET_LENGTH);
    const sealed = await put({ ...seat, secretHash: hashOf(secret), revoked: false });
    secrets.set(seat.id, secret);
    if (seat.kind === "coach") writeSecret(secretFile, secret);
    return { seat: sealed, path: pathFor(secret) };
  };
  const withHash = (hash: string): StoredSeat | undefined =>
    [...seats.values()].find((seat) => seat.secretHash === hash);

  const reissue = async (id: string): Promise<Issued | undefined> => {
    const seat = seats.get(id);
    if (seat === undefined) return undefined;
    former.add(seat.secretHash);
    return seal(seat);
  };

  async function coachSeat(): Promise<string> {
    const known = readSecret(secretFile);
    const seat = known === undefined ? undefined : withHash(hashOf(known));
    if (known !== undefined && seat?.kind === "coach" && !seat.revoked) {
      secrets.set(seat.id, known);
      return seat.id;
    }
    // The file is lost: the coach's seat gets a new secret, and whoever found the old one has nothing.
    const old = [...seats.values()].find(({ kind }) => kind === "coach");
    const issued = old === undefined ? await seal({ id: nanoid(10), kind: "coach" }) : await reissue(old.id);
    return issued?.seat.id ?? "";
  }
  const coach = await coachSeat();

  const pathOf = (id: string): string | undefined => {
    const secret = secrets.get(id);
    return secret === undefined || seats.get(id)?.revoked === true ? undefined : pathFor(secret);
  };
  return {
    find(secret) {
      const seat = withHash(hashOf(secret));
      return seat?.revoked === false ? seat : undefined;
    },
    wasRevoked(secret) {
      const hash = hashOf(secret);
      return former.has(hash) || withHash(hash)?.revoked === true;
    },
    get: (id) => seats.get(id),
    all: () => [...seats.values()],
    issue: (seat) => seal({ ...seat, id: nanoid(10) }),
    reissue,
    async revoke(id) {
      const seat = seats.get(id);
      return seat === undefined || seat.kind === "coach" ? undefined : put({ ...seat, revoked: true });
    },
    pathOf,
    get coachPath() {
      return pathOf(coach) ?? "";
    },
  };
}

/** A stored seat as the views need it; undefined where the ledger's row lacks what its kind needs. */
export function sittingIn(seat: StoredSeat): Sitting | undefined {
  const { id, kind, ring, judge, referee, person } = seat;
  switch (kind) {
    case "coach":
    case "wall":
      return { kind, seat: id };
    case "table":
      return ring === undefined ? undefined : { kind, seat: id, ring };
    case "judge":
      return ring === undefined
        ? undefined
        : { kind, seat: id, ring, judge: judge ?? 1, referee: referee === true };
    case "fencer":
      return person === undefined ? undefined : { kind, seat: id, person };
  }
}
