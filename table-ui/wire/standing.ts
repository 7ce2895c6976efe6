/** How the ledger stands, and what that means at each seat, in words that can be read across a hall. */
import { refusal, type Millis, type Refusal } from "../../engine/index.ts";

/** Why nothing is recorded just now. The first two pass by themselves, the last two last until a restart. */
export const TROUBLES = ["full", "unreachable", "failed", "damaged"] as const;
export type Trouble = (typeof TROUBLES)[number];

export type Standing =
  | { readonly state: "sound" }
  | {
      readonly state: Trouble;
      /** Server time of the first fault. */
      readonly since: Millis;
      /** The data folder's own name, without the way to it; missing where the ledger is no file. */
      readonly folder?: string;
    };

/** What a seat is shown while the ledger is not sound. */
export interface StandingOnView {
  readonly state: Trouble;
  readonly since: Millis;
  readonly sentence: string;
}

/** Whether it passes by itself as soon as something can be written again. */
export const passes = (state: Trouble): boolean => state === "full" || state === "unreachable";

/** Who reads it. */
type Kind = "coach" | "table" | "judge" | "fencer" | "wall";
type Words = Readonly<Record<Exclude<Kind, "coach">, string>>;

const WORDS: Readonly<Record<Trouble, Words>> = {
  full: {
    table:
      "The server's disk is full. Score on: this tablet keeps everything and sends it when there is room.",
    judge:
      "The server's disk is full: nothing you press counts now. Say it to the table, and press again when this notice is gone.",
    fencer: "The server's disk is full: what you send now does not count. Send it when this notice is gone.",
    wall: "The server's disk is full. The tables score on; this wall follows when there is room.",
  },
  unreachable: {
    table:
      "The server's database is out of reach. Score on: this tablet keeps everything and sends it when it is back.",
    judge:
      "The server's database is out of reach: nothing you press counts now. Say it to the table, and press again when this notice is gone.",
    fencer:
      "The server's database is out of reach: what you send now does not count. Send it when this notice is gone.",
    wall: "The server's database is out of reach. The tables score on; this wall follows when it is back.",
  },
  failed: {
    table:
      "The server's disk has failed. Score on: this tablet keeps everything and sends it when the server has been started again.",
    judge: "The server's disk has failed: nothing you press counts now. Say it to the table.",
    fencer: "The server's disk has failed: what you send now does not count. Say it to the table.",
    wall: "The server's disk has failed. The tables score on; this wall follows after the next start.",
  },
  damaged: {
    table:
      "The server's ledger is damaged. Score on: this tablet keeps everything and sends it when the coach has put it right.",
    judge: "The server's ledger is damaged: nothing you press counts now. Say it to the table.",
    fencer: "The server's ledger is damaged: what you send now does not count. Say it to the table.",
    wall: "The server's ledger is damaged. The tables score on; this wall follows after the next start.",
  },
};

const TABLES = "The tables score on and send theirs afterwards: leave their pages open.";

/** What to do about it, for the one who can. */
function forCoach(state: Trouble, folder: string | undefined): string {
  const where = folder === undefined ? "" : ` of the folder ${folder}`;
  switch (state) {
    case "full":
      return `The disk${where} is full, so nothing is recorded. Free some room on it; recording goes on by itself. ${TABLES}`;
    case "unreachable":
      return `The database is out of reach, so nothing is recorded. See that it runs and that the network reaches it; recording goes on by itself. ${TABLES}`;
    case "failed":
      return `The disk${where} has failed, so nothing more is recorded. Make a backup on another disk, then start Garland again. ${TABLES}`;
    case "damaged":
      return `The ledger${where} is damaged, so nothing more is recorded. Stop Garland, put the latest backup in its place, and start it again. ${TABLES}`;
  }
}

/** What this seat is shown of the ledger's standing; nothing while it is sound. */
export function standingFor(
  standing: Standing,
  { kind }: { readonly kind: Kind },
): StandingOnView | undefined {
  if (standing.state === "sound") return undefined;
  const { state, since, folder } = standing;
  return { state, since, sentence: kind === "coach" ? forCoach(state, folder) : WORDS[state][kind] };
}

const WHY: Readonly<Record<Trouble, string>> = {
  full: "the server's disk is full. Try again when there is room",
  unreachable: "the server's database is out of reach. Try again when it is back",
  failed: "the server's disk has failed. Try again when the server has been started again",
  damaged: "the server's ledger is damaged. Try again when the coach has put it right",
};

/** [W31] The answer to what could not be recorded. It is not final: the same command may be sent again. */
export const notRecorded = (state: Trouble): Refusal => refusal("read-only", `Not recorded: ${WHY[state]}.`);

/** [W32] Whether an answer says nothing about the command itself, so that whoever keeps it sends it again. */
export const isForLater = (refused: Refusal): boolean => refused.refused === "read-only";
