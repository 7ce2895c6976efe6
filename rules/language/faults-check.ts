/** Every message about a rule set whose sentences are each in order. */
import type { Message } from "./faults.ts";
import { listed } from "./faults-sentence.ts";
import { nearest } from "./spelling.ts";

const say = (code: string, text: string, cure?: string): Message =>
  cure === undefined ? { code, text } : { code, text, cure };

// Names
export const nameTwice = (what: string, name: string): Message =>
  say("duplicate-name", `There are two ${what} "${name}". Give one of them another name.`);
export const touchTwice = (phrase: string): Message =>
  say("duplicate-touch", `"${phrase}" has a worth already. Keep one of the two.`);
export const nameOfTwo = (name: string, first: string, second: string): Message =>
  say("duplicate-name", `"${name}" is ${first} already, so ${second} needs another name.`);
export const wordAlready = (name: string, what: string): Message =>
  say("word-already", `"${name}" is a word of the language already (${what}). Choose another name.`);
export const unknownRule = (name: string, names: readonly string[]): Message => {
  const near = nearest(name, names);
  const help =
    near === undefined
      ? names.length > 0
        ? ` Rules here: ${listed(names)}.`
        : ""
      : ` Did you mean "${near}"?`;
  return say("unknown-name", `There is no rule "${name}".${help}`);
};
export const paysItself = (name: string): Message =>
  say("pays-itself", `"${name}" would pay what itself pays. Name another rule.`);
export const circle = (names: readonly string[]): Message =>
  say(
    "circle",
    `These phrases make each other, so they have no end: ${names.map((name) => `"${name}"`).join(", ")}. Write one of them out.`,
  );

// Phrases
export const nothingHappens = (phrase: string, positive: string): Message =>
  say(
    "nothing-happens",
    `"${phrase}" names nothing that happens, so it would hold in an empty exchange. ` +
      `Begin with an action, or put "${positive}" under "unless".`,
  );
export const tooManySteps = (count: number): Message =>
  say(
    "too-many-steps",
    `A phrase may have six actions; this one has ${String(count)}. Nobody sees more than six.`,
  );
export const neverAtOnce = (): Message =>
  say(
    "never-at-once",
    `"never" cannot follow "at once": write ", then I never ..." (from there on), or leave it out.`,
  );
export const neverNext = (): Message =>
  say(
    "never-next",
    `"never" cannot follow "next": write ", then I never ..." (from there on), or say what comes next.`,
  );
export const timeOfNothing = (time: string): Message =>
  say(
    "time-of-nothing",
    `"${time}" is measured from the action before, and none is asked for before it. Begin with an action, or leave it out.`,
  );
export const neverAfter = (seconds: number): Message =>
  say(
    "never-after",
    `"never" holds from an action on: write "then within ${String(seconds)} s ... never", or leave the time out.`,
  );
export const nothingToCount = (what: string): Message =>
  say(
    "time-at-the-end",
    `${what} cannot follow a phrase that ends with "within ... s" and "never". Leave the time out, or let the rule pay once.`,
  );
export const likeNotInSlot = (slot: "with" | "to" | "from", what: string): Message =>
  say("wrong-kind", `"${slot}" needs ${SLOTS[slot]} here, not a ${what}.`);
export const likeNothing = (likeness: string): Message =>
  say(
    "never-true",
    `"${likeness}" is compared with an earlier action, and before this one there is none. This can never pay as it stands.`,
  );
export const upToLess = (seconds: number, upTo: number): Message =>
  say(
    "never-true",
    `Nothing lasts ${String(seconds)} s or more and ${String(upTo)} s or less. This can never pay as it stands.`,
  );
export const noMoment = (mark: string): Message =>
  say(
    "never-true",
    `"${mark}" changes only when the exchange is over, so "at that moment" is as it began. Leave "at that moment" out.`,
  );
export const makeWithBoth = (name: string): Message =>
  say(
    "make-by-both",
    `"make the ${name}" needs one fencer: write "I make the ${name}" or "they make the ${name}".`,
  );
export const neverMake = (name: string): Message =>
  say(
    "never-make",
    `"never make the ${name}" cannot stand inside a phrase: the ${name} has several actions. Put "I make the ${name}" under "unless".`,
  );
export const noStrikeNoHit = (action: string): Message =>
  say(
    "never-true",
    `To ${action} is no strike, so it never hits: write "I ${action}, then I hit". This can never pay as it stands.`,
  );
export const onlyOfStrikes = (manner: string, action: string): Message =>
  say("never-true", `"${manner}" is said of a strike, not of "${action}". This can never pay as it stands.`);
export const notOfBoth = (manner: string): Message =>
  say("never-true", `"${manner}" cannot hold for both at once. Say whose action it is.`);
export const unaimed = (action: string, what: string): Message =>
  say("never-true", `To ${action} has no ${what}. This can never pay as it stands.`);
export const exclude = (first: string, second: string): Message =>
  say("never-true", `"${first}" and "${second}" cannot hold together. This can never pay as it stands.`);

// Values
const SLOTS = { with: "a blow", to: "a target", from: "a side or a guard" } as const;
export const notInSlot = (name: string, slot: "with" | "to" | "from", holds: string): Message =>
  say("wrong-kind", `"${slot}" needs ${SLOTS[slot]} here, but "${name}" holds ${holds}.`);
export const someNotInSlot = (
  name: string,
  slot: "with" | "to" | "from",
  values: readonly string[],
): Message =>
  say("never-true", `${listed(values)} of "${name}" is not ${SLOTS[slot]}, so it can never match here.`);
export const needsNumbers = (name: string): Message =>
  say(
    "wrong-kind",
    `"by ${name}" chooses the number by 1, 2, 3 ...: "${name}" must be a count or a pick of such numbers.`,
  );

// Rules
export const doesNothing = (name: string): Message =>
  say("does-nothing", `"${name}" pays nothing and does nothing. Add "pays:" or "does:".`);
export const limitWithoutPay = (): Message =>
  say(
    "limit-without-pay",
    `"at most" limits what a rule pays, but this rule pays nothing. Add "pays:", or leave it out.`,
  );
export const floorWithoutPay = (): Message =>
  say(
    "limit-without-pay",
    `"not below" is the floor of what a rule pays, but this rule pays nothing. Leave it out.`,
  );
export const whenAtTheEnd = (): Message =>
  say(
    "when-at-the-end",
    `At the end there is no exchange to look at. Put "in the last exchange ..." under "if" instead of "when".`,
  );
export const whoDecides = (): Message =>
  say("who-decides", `Who decides between the two? Write "as the judge says" after "to me".`);
export const oddBetween = (low: number, high: number): Message =>
  say("odd-number", `"between ${String(low)} and ${String(high)}": the smaller number stands first.`);
export const notHalf = (n: number): Message =>
  say("odd-number", `${String(n)} cannot be paid: points and bonus are whole or half, as in 2 or 0.5.`);
export const tooLarge = (n: number): Message =>
  say("odd-number", `${String(n)} is too large. A number may be 1000 at most.`);
export const notWhole = (what: string): Message =>
  say("odd-number", `${what} must be a whole number, 1 or more.`);

// Marks
export const nowOfPaid = (mark: string, rule: string): Message =>
  say(
    "now-of-paid",
    `"now" cannot read "${mark}", because what "${rule}" pays changes it in the same exchange. Leave "now" out: then it is read as the exchange began.`,
  );
export const changeOfKind = (deed: string, mark: string, is: string, write: string): Message =>
  say("wrong-kind", `"${deed}" does not fit "${mark}", which is a ${is}. Write ${write}.`);
export const startOfKind = (mark: string, is: string, write: string): Message =>
  say("wrong-kind", `"${mark}" is a ${is}: it starts ${write}.`);
export const remembersTwo = (mark: string, first: string, second: string): Message =>
  say("wrong-kind", `"${mark}" remembers the ${first} and the ${second}. Make two marks, one for each.`);
export const neverChanges = (mark: string): Message =>
  say("never-changes", `Nothing changes "${mark}" and nothing starts it, so it is always empty.`);
export const needsCount = (what: string, mark: string): Message =>
  say("wrong-kind", `${what} needs a count for each fencer; "${mark}" is none.`);

// The bout
export const oneOffHelps = (): Message =>
  say(
    "one-off-helps",
    'Where fewer points against win, "1 off each" would reward a double. Write "doubles: both score", and each is hit.',
  );
export const bonusAgainst = (): Message =>
  say(
    "bonus-against",
    'Points count against a fencer here, so bonus cannot count towards the cap. Write "bonus: counts towards the win", or leave it out.',
  );
export const bonusGone = (): Message =>
  say(
    "bonus-gone",
    'At the end bonus becomes points, so none is left to decide. Write "wins: who has more points", or leave "at the end" out.',
  );

// Warnings
export const asksOften = (): Message =>
  say(
    "asks-often",
    `"attack" is asked about often, because a bare cut or thrust does not say whether it was the attack. Write "strike", "cut" or "thrust" where any will do.`,
  );
export const paysMisses = (step: string): Message =>
  say("pays-misses", `This pays even where "${step}" misses. Add "and hit" if only a hit should pay.`);
export const manyThemes = (count: number): Message =>
  say("many-themes", `${String(count)} themes pay here. A fencer keeps three in mind at most.`);
export const noWatcher = (fact: string): Message =>
  say(
    "no-watcher",
    `The table cannot see "${fact}" reliably. Name who watches, as in "watch: judge 1", or be asked each time.`,
  );
export const aloneInGroup = (group: string): Message =>
  say("alone-in-group", `Only one rule is in "best of: ${group}", so it changes nothing.`);
export const nothingAtAll = (): Message =>
  say("nothing-scores", `Nothing scores here: a rule set needs "touches:", as in "I hit: 1".`);
export const nothingScores = (): Message =>
  say("nothing-scores", `Nothing scores a point: there are no touches. Add "touches:" with "I hit: 1".`);
