/** [W32] When a command that the server could not record is sent again. */
import type { Answered } from "../../wire/messages.ts";
import { isForLater, type StandingOnView } from "../../wire/standing.ts";

/** So long a command waits before it is tried again, unless the server says sooner that it records again. */
const AGAIN_MS = 5_000;
/** Tries while the server says that it is sound: then it is the command and not the disk. */
const TRIES = 3;

export interface Patience {
  /** Waits where the answer says nothing about the command itself; false where it is an answer to take. */
  waits(answer: Answered, standing: StandingOnView | undefined): Promise<boolean>;
  /** What the server says of itself: as soon as it is sound, nothing waits. */
  sees(standing: StandingOnView | undefined): void;
}

/** `after` resolves when it is time to try again. */
export function openPatience(
  after: (ms: number) => Promise<void> = (ms) => new Promise((done) => setTimeout(done, ms)),
): Patience {
  let inVain = 0;
  let wasSound = true;
  let wake = (): void => undefined;
  return {
    async waits(answer, standing) {
      const later = !answer.ok && isForLater(answer.refusal);
      // The refusal may come before the news why: a few tries are for that.
      inVain = later && standing === undefined ? inVain + 1 : 0;
      if (!later || inVain > TRIES) {
        inVain = 0;
        return false;
      }
      await Promise.race([after(AGAIN_MS), new Promise<void>((done) => (wake = done))]);
      return true;
    },
    sees(standing) {
      const isSound = standing === undefined;
      if (isSound && !wasSound) wake();
      wasSound = isSound;
    },
  };
}
