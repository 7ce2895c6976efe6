/** Seats and their secrets: a link's secret opens the page and the socket; the ledger keeps only its hash. */
import { createHash } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { nanoid } from "nanoid";
import type { Ledger, StoredSeat } from "../../engine/ledger/open.ts";
import type { Sitting } from "../wire/hall.ts";
import { keep } from "./lasting-file.ts";
import type { HouseSecret } from "./secret.ts";

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
  /** Reads what another process has written since; tells which seats' old links open nothing any more. */
  reload(): Promise<readonly string[]>;
  /** The link's path, for seats whose secret this house knows. */
  pathOf(id: string): string | undefined;
  /** Empty where another process of the same ledger holds the coach's link. */
  readonly coachPath: string;
}

/** A secret and which issue of its seat it is. */
interface Known {
  readonly secret: string;
  readonly issue: number;
}

export const pathFor = (secret: string): string => `/seat/${secret}`;

/** The coach's secret from a start before this one. */
function readSecret(file: string | undefined): string | undefined {
  if (file === undefined || !existsSync(file)) return undefined;
  const secret = readFileSync(file, "utf8").trim();
  return /^[A-Za-z0-9_-]{22}$/.test(secret) ? secret : undefined;
}

function writeSecret(file: string | undefined, secret: string): void {
  if (file !== undefined) keep(file, `${secret}\n`);
}

/** How often a seat may be issued anew before its secrets become random ones, which no restart can show again. */
const KNOWN_ISSUES = 200;

interface SeatsIn {
  /** Holds the coach's secret between starts (mode 0600); without it every start has a coach's link of its own. */
  readonly secretFile?: string | undefined;
  readonly secret: HouseSecret;
}

/** Opens the seats of a ledger; the coach's is made if there is none. */
export async function openSeats(ledger: Ledger, { secretFile, secret: house }: SeatsIn): Promise<Seats> {
  const seats = new Map<string, StoredSeat>();
  const secrets = new Map<string, Known>();
  const former = new Set<string>();
  /** Hashes of secrets that are not this house's. */
  const foreign = new Set<string>();

  /** The secret of a seat's n-th issue, from 0: 22 of base64url's letters hold 132 bits of the HMAC. */
  const derived = (id: string, issue: number): string =>
    house(`seat|${id}|${issue}`).toString("base64url").slice(0, SECRET_LENGTH);

  /** What this house issued, found again by its hash; undefined for a seat that another house issued. */
  function remember({ id, secretHash }: StoredSeat): Known | undefined {
    const known = secrets.get(id);
    if (known !== undefined && hashOf(known.secret) === secretHash) return known;
    secrets.delete(id);
    if (foreign.has(secretHash)) return undefined;
    for (let issue = 0; issue < KNOWN_ISSUES; issue += 1) {
      const secret = derived(id, issue);
      if (hashOf(secret) !== secretHash) continue;
      secrets.set(id, { secret, issue });
      return secrets.get(id);
    }
    foreign.add(secretHash);
    return undefined;
  }

  /** An issue that was never given out: where the last one is not known, none of ours can be told to be fresh. */
  function freshSecret(id: string): Known {
    const seat = seats.get(id);
    const issue = seat === undefined ? 0 : (remember(seat)?.issue ?? KNOWN_ISSUES) + 1;
    return { issue, secret: issue < KNOWN_ISSUES ? derived(id, issue) : nanoid(SECRET_LENGTH) };
  }

  const put = async (seat: StoredSeat): Promise<StoredSeat> => {
    await ledger.putSeat(seat);
    seats.set(seat.id, seat);
    return seat;
  };
  const seal = async (seat: Omit<StoredSeat, "secretHash" | "revoked">): Promise<Issued> => {
    const known = freshSecret(seat.id);
    const sealed = await put({ ...seat, secretHash: hashOf(known.secret), revoked: false });
    secrets.set(seat.id, known);
    if (seat.kind === "coach") writeSecret(secretFile, known.secret);
    return { seat: sealed, path: pathFor(known.secret) };
  };
  const withHash = (hash: string): StoredSeat | undefined =>
    [...seats.values()].find((seat) => seat.secretHash === hash);

  const reissue = async (id: string): Promise<Issued | undefined> => {
    const seat = seats.get(id);
    if (seat === undefined) return undefined;
    const issued = await seal(seat);
    former.add(seat.secretHash);
    return issued;
  };

  async function reload(): Promise<readonly string[]> {
    const ended: string[] = [];
    for (const seat of await ledger.seats()) {
      const before = seats.get(seat.id);
      if (before !== undefined && (seat.revoked || seat.secretHash !== before.secretHash)) {
        if (!before.revoked) ended.push(seat.id);
        former.add(before.secretHash);
      }
      seats.set(seat.id, seat);
      remember(seat);
    }
    return ended;
  }

  async function coachSeat(): Promise<string> {
    const known = readSecret(secretFile);
    const inFile = known === undefined ? undefined : withHash(hashOf(known));
    if (known !== undefined && inFile?.kind === "coach" && !inFile.revoked) {
      if (!secrets.has(inFile.id)) secrets.set(inFile.id, { secret: known, issue: KNOWN_ISSUES });
      return inFile.id;
    }
    const old = [...seats.values()].find(({ kind }) => kind === "coach");
    if (old !== undefined && ledger.shared) {
      // Another process of the same ledger gave out the link: a new one would cut the coach off.
      const kept = remember(old);
      if (kept !== undefined) writeSecret(secretFile, kept.secret);
      return old.id;
    }
    // The file is lost: the coach's seat gets a new secret, and whoever found the old one has nothing.
    const issued = old === undefined ? await seal({ id: nanoid(10), kind: "coach" }) : await reissue(old.id);
    return issued?.seat.id ?? "";
  }
  await reload();
  const coach = await coachSeat();

  const pathOf = (id: string): string | undefined => {
    const known = secrets.get(id);
    return known === undefined || seats.get(id)?.revoked === true ? undefined : pathFor(known.secret);
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
    reload,
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
