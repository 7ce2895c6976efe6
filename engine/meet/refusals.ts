/** What an evening refuses, each in one sentence. */
import { refusal } from "../bout/refusals.ts";
import type { Refusal } from "../bout/refusals.ts";

export const noSuchRing = refusal("no-such-ring", "There is no such ring this evening.");
export const ringExists = refusal("not-now", "A ring with that id is there already.");
export const noSuchFencer = refusal("no-such-person", "That person is not among this evening's fencers.");
export const fencerExists = refusal("not-now", "That person is among this evening's fencers already.");
export const alreadyOpen = refusal("not-now", "The evening has been opened already.");
export const noSuchPlan = refusal("no-such-bout", "There is no such bout among those planned.");
export const alreadyPlanned = refusal(
  "already-called",
  "A bout with that id has been planned or called already.",
);
export const notOnShelf = refusal(
  "no-such-rule-set",
  "That rule set is not on the evening's shelf: adopt it first.",
);
export const oneFencer = refusal("same-fencer", "Red and Blue are the same person: choose two fencers.");
export const fencerIsOut = refusal("fencer-out", "One of the two is out for tonight.");
export const fencerRests = refusal(
  "fencer-out",
  "One of the two is resting or retired: mark them as here first.",
);
export const oneTeam = refusal("same-fencer", "A relay is fenced by two teams: choose another for Blue.");
export const emptyRelay = refusal(
  "bad-message",
  "A relay needs at least one bout, each with an id of its own.",
);
export const onlyTheHall = refusal("not-your-seat", "Only the hall itself says what its bouts claim.");
export const fencerIsBusy = refusal("fencer-busy", "One of the two is in another bout that has not ended.");
export const ringIsBusy = refusal("ring-busy", "A bout on that ring has not ended: end or stop it first.");
export const ringIsEmpty = refusal("not-now", "There is no bout on that ring.");
export const onlyTheCoach = refusal("not-your-seat", "Only the coach's seat runs the evening.");
export const onlyCoachOrTable = refusal("not-your-seat", "Only the coach or a table can take a ring's pen.");
export const penIsTaken = (epoch: number): Refusal =>
  refusal(
    "no-pen",
    `Another device has taken the ring's pen (take-over ${epoch}). Take it back to go on here.`,
  );
export const nobodyHoldsPen = refusal("no-pen", "No device holds the ring's pen: take it first.");
