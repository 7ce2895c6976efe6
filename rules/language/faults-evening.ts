/** Every message about a rule at the end of the evening. */
import type { Message } from "./faults.ts";

const say = (code: string, text: string): Message => ({ code, text });

export const notAtTheEnd = (condition: string): Message =>
  say(
    "not-in-the-evening",
    `"${condition}" asks about a bout, and at the end of the evening there is none. Let a mark "for each fencer tonight" remember it, and ask for the mark.`,
  );
export const nobodyElse = (what: string): Message =>
  say(
    "nobody-else",
    `"${what}" asks about somebody else, and at the end of the evening each fencer stands alone. Ask about "I" and "my", or about the hall.`,
  );
export const doesNotLast = (mark: string, keeper: string): Message =>
  say(
    "does-not-last",
    `"${mark}" is over with its bout, so nobody has one at the end of the evening. Keep it "for ${keeper}".`,
  );
export const pickDoesNotLast = (pick: string): Message =>
  say(
    "does-not-last",
    `"${pick}" does not hold all evening. Let it be picked "before the evening" or "after the evening".`,
  );
export const onlyTonightCounts = (count: string): Message =>
  say(
    "does-not-last",
    `"${count}" counts in a bout. At the end of the evening say what it is of the evening, as in "my points tonight".`,
  );
export const onlyToMe = (): Message =>
  say("nobody-else", `At the end of the evening each fencer stands alone: write "to me".`);
export const onlyNumbers = (): Message =>
  say("not-in-the-evening", `At the end of the evening write the sum itself, as in "2 bonus to me".`);
export const noExchangeLeft = (): Message =>
  say(
    "not-in-the-evening",
    `At the end of the evening there is no exchange left to change: such a rule only pays. Leave "does" out.`,
  );
export const onlyTonight = (): Message =>
  say(
    "not-in-the-evening",
    `At the end of the evening each fencer is tried once. The only limit that means something is "tonight".`,
  );
export const noFloor = (): Message =>
  say(
    "not-in-the-evening",
    `"not below" is the floor of a bout's tally. At the end of the evening there is none.`,
  );
export const paysLater = (rule: string): Message =>
  say(
    "not-in-the-evening",
    `"${rule}" pays at the end of the evening, when every bout is over. No bout can ask what it pays.`,
  );
