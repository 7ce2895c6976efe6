/** Messages about conditions and sums that can never hold, or not where they stand. */
import type { Message } from "./faults.ts";

const say = (code: string, text: string): Message => ({ code, text });

// Where it stands
export const onlyAtTheEnd = (condition: string): Message =>
  say(
    "only-at-the-end",
    `"${condition}" is known only when the bout is over. Add "at: the end of the bout" to the rule.`,
  );
export const changeOnlyAtTheEnd = (condition: string): Message =>
  say(
    "only-at-the-end",
    `"${condition}" is known only when the bout is over. Write "at the end of the bout when ..." for "when ...".`,
  );
export const noExchangeAtTheEnd = (condition: string): Message =>
  say(
    "no-exchange-at-the-end",
    `At the end there is no exchange to look at, so "${condition}" never holds. Write "in the last exchange ...".`,
  );
export const nothingToCountAtTheEnd = (condition: string): Message =>
  say(
    "no-exchange-at-the-end",
    `At the end there is no exchange to look at, so "${condition}" has nothing to count. Let a mark remember it.`,
  );
export const paysAtAnotherTime = (rule: string, atTheEnd: boolean): Message =>
  say(
    "pays-at-another-time",
    atTheEnd
      ? `"${rule}" pays in an exchange, not at the end. Write "paid" for "pays", and "in the last exchange" after it.`
      : `"${rule}" pays only at the end of the bout, so it never pays in an exchange.`,
  );
export const lastNotKnown = (): Message =>
  say(
    "last-not-known",
    `"the last exchange" is known beforehand only where the bout "ends: after N exchanges". Add that, or leave this out.`,
  );
export const whichMoment = (): Message =>
  say("which-moment", `"at that moment": the moment of which action? Give the rule a "when".`);
export const lengthNotKnown = (what: string): Message =>
  say(
    "length-not-known",
    `"${what}" needs to know how long the bout is. Write "ends: after 3 min" or "starts: 180 s are left".`,
  );
export const alreadyLast = (rule: string): Message =>
  say("already-last", `"in the last exchange" stands here already: write "pays" after "${rule}".`);

// Amounts
export const neverThatMany = (asked: string, most: number, what: string): Message =>
  say("never-true", `There are only ${String(most)} ${what} here, so ${asked} can never hold.`);
export const always = (asked: string): Message =>
  say("always-true", `${asked} always holds. Ask for another number, or leave it out.`);
export const notACount = (n: number): Message =>
  say("odd-number", `${String(n)} is no number of things. Write a whole number.`);
export const lookBack = (most: number): Message =>
  say("odd-number", `A rule can look back to the last 1 to ${String(most)} exchanges.`);
export const noLead = (n: number): Message =>
  say("odd-number", `Nobody is ahead by ${String(n)}. Write 1 or more, or "I am level".`);
export const afterTheLast = (n: number, last: number): Message =>
  say("never-true", `The bout ends after ${String(last)} exchanges, so exchange ${String(n)} never comes.`);
export const longerThanTheBout = (seconds: number, length: number): Message =>
  say(
    "never-true",
    `The bout has ${String(length)} s on its clock, so ${String(seconds)} s or more can never hold here.`,
  );

// Sums
export const nowOf = (counted: string): Message =>
  say(
    "now-of-paid",
    `"now" cannot read ${counted}, because what rules do in this exchange changes them. Leave "now" out: then they are read as the exchange began.`,
  );
export const nowOfScore = (mark: string): Message =>
  say(
    "now-of-paid",
    `"now" cannot read "${mark}", because it changes with what is scored in the same exchange. Leave "now" out: then it is read as the exchange began.`,
  );
export const nowOnlyAtTheEnd = (counted: string): Message =>
  say(
    "now-of-paid",
    `This bout counts among the ${counted} only when it is over. Leave "now" out, or ask at the end of the bout.`,
  );
export const nothingTimes = (sum: string): Message =>
  say(
    "odd-number",
    `"times ${sum}" is nothing, so nothing is ever paid. Name a count, or write another number.`,
  );

// Pays and effects
export const needsWhen = (what: string): Message =>
  say("needs-when", `"${what}" needs a "when": of which action?`);
export const paysOneSum = (rule: string): Message =>
  say("pays-one-sum", `"what "${rule}" pays them" needs a rule that pays one sum.`);
export const ownPayment = (rules: readonly string[]): Message =>
  say(
    "circle",
    rules.length === 1
      ? `"${rules[0] ?? ""}" asks about its own payment, so nobody could say whether it pays. Ask about another rule.`
      : `These rules ask about each other's payment, so nobody could say which pays: ${rules
          .map((rule) => `"${rule}"`)
          .join(", ")}. Take one question out.`,
  );
export const ownAwards = (rule: string): Message =>
  say(
    "own-awards",
    `What a rule does never touches what it pays itself, so "from "${rule}"" changes nothing here. Name another rule.`,
  );
export const paysNoSuch = (rule: string, what: string): Message =>
  say("never-true", `"${rule}" pays no ${what}, so there is nothing to take here.`);
export const oddFactor = (by: number): Message =>
  say(
    "odd-number",
    by === 0
      ? `Multiplied by 0 nothing is left: write "annul".`
      : by === 1
        ? `Multiplied by 1 everything stays as it is. Write another number, or leave it out.`
        : `Awards cannot be multiplied by ${String(by)}. Write a number from 0.01 to 100, as in 1.5.`,
  );
export const oddHold = (most: number): Message =>
  say("odd-number", `Bonus can be held for 1 to ${String(most)} exchanges.`);
export const changesNothing = (deed: string): Message =>
  say("odd-number", `"${deed} 0" changes nothing. Write another number.`);
export const eachTimeOfOne = (mark: string): Message =>
  say(
    "each-time-of-one",
    `"each time" in "${mark}" counts one phrase: write one phrase, and the rest in "if" of a rule.`,
  );
export const manyNevers = (most: number): Message =>
  say(
    "many-nevers",
    `Where each time counts, at most ${String(most)} phrases of a rule may end with "never". Make two rules of it.`,
  );
