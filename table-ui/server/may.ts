/** What the engine cannot know: which ring a seat stands at, and who holds that ring's pen just now. */
import { refusal, type Meet, type MeetCommand, type Refusal, type Ring } from "../../engine/index.ts";
import type { Sitting } from "../wire/hall.ts";

/** [W21] Also to what a seat had sent before it was revoked and whose turn came after. */
export const noSuchSeat = refusal("no-such-seat", "This link opens no seat. Ask the coach for a new one.");

const notYours = (sentence: string): Refusal => refusal("not-your-seat", sentence);

/** Why this seat may not give a command to the evening, as far as its ring goes; the engine knows the rest. */
export function whyNotMeet(sitting: Sitting, command: MeetCommand): Refusal | undefined {
  if (command.type === "CallToRing") {
    return refusal(
      "bad-message",
      "A planned bout is called from the coach's page, both streams in one step.",
    );
  }
  if (sitting.kind === "table" && "ring" in command && command.ring !== sitting.ring) {
    return notYours("A table does this on its own ring only.");
  }
  return undefined;
}

/** Why this seat may not write in a bout on this ring at all; undefined if it may, as far as the ring goes. */
export function whyNotRing(sitting: Sitting, ring: string | undefined): Refusal | undefined {
  if (sitting.kind === "wall") return notYours("A wall only shows.");
  if ((sitting.kind === "table" || sitting.kind === "judge") && sitting.ring !== ring) {
    return notYours("This bout is not on this seat's ring.");
  }
  return undefined;
}

export const ringIn = (meet: Meet, id: string | undefined): Ring | undefined =>
  meet.rings.find((ring) => ring.id === id);
