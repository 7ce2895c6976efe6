/**
 * Whom a secret lets in, at the page and at the socket alike. [W33] Secrets that open nothing are counted by the address
 * they come from; past a measure they are no longer looked up anew. A secret that opens a seat opens it all the same: a
 * whole hall may stand behind one address, and a guesser beside it must not lock it out. What keeps guesses out is that
 * there are 2^132 secrets; the measure keeps them cheap.
 */
import type { StoredSeat } from "../../engine/ledger/open.ts";
import type { Sitting } from "../wire/hall.ts";
import type { House } from "./house.ts";
import { addressGroup, bucket, type Limits, type MayPass } from "./limits.ts";
import { sittingIn } from "./seats.ts";

/** Why a secret lets nobody in. `away`: the ledger is out of reach, so that nobody knows. */
export type Shut = "unknown" | "revoked" | "too many" | "away";

export type Entered =
  | { readonly seat: StoredSeat; readonly sitting: Sitting }
  | { readonly seat?: undefined; readonly shut: Shut };

/** Counts tries by address, in a table that never grows past `limits.guessers`. */
export interface Guesses {
  /** Counts one try that opened nothing; false where the address has had its measure. */
  count(address: string | undefined): boolean;
  /** How many addresses are remembered. */
  readonly size: number;
}

type GuessLimits = Pick<Limits, "guesses" | "guessesASecond" | "guessers">;

export function openGuesses(limits: GuessLimits, now: () => number): Guesses {
  // In the order of their latest try: the first is forgotten first.
  const tries = new Map<string, MayPass>();
  return {
    count(address) {
      const from = addressGroup(address);
      const mayPass = tries.get(from) ?? bucket(limits.guesses, limits.guessesASecond, now);
      tries.delete(from);
      tries.set(from, mayPass);
      if (tries.size > limits.guessers) {
        const [oldest = ""] = tries.keys();
        tries.delete(oldest);
      }
      return mayPass();
    },
    get size() {
      return tries.size;
    },
  };
}

/** The form of a secret: 22 of base64url's letters. */
const SECRET = /^[A-Za-z0-9_-]{22}$/;

/** Looks a secret up, whatever came as one. */
export type Enter = (secret: unknown, address: string | undefined) => Promise<Entered>;

export function openEntrance(house: Pick<House, "seats" | "catchUp">, guesses: Guesses): Enter {
  function open(secret: string): Entered | undefined {
    const seat = house.seats.find(secret);
    const sitting = seat && sittingIn(seat);
    return seat === undefined || sitting === undefined ? undefined : { seat, sitting };
  }
  return async (secret, address) => {
    if (typeof secret !== "string" || !SECRET.test(secret))
      return { shut: guesses.count(address) ? "unknown" : "too many" };
    // Whose link was good is no guesser. For all others the ledger is asked no oftener than the measure allows.
    const known = open(secret) !== undefined || house.seats.wasRevoked(secret);
    if (!known && !guesses.count(address)) return { shut: "too many" };
    try {
      // Whoever comes from another process must not be shown less than there, nor let in where the link was ended.
      await house.catchUp();
    } catch {
      return { shut: "away" };
    }
    return open(secret) ?? { shut: house.seats.wasRevoked(secret) ? "revoked" : "unknown" };
  };
}
