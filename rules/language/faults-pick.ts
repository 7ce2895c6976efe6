/** What can be wrong with a pick beyond its sentences, each with its cure. */
import type { Message } from "./faults.ts";

const say = (code: string, text: string): Message => ({ code, text });

export const listHasNoTurn = (name: string): Message =>
  say(
    "list-turn",
    `The list of "${name}" moves on within a bout: write "when: before each exchange" or "when: after every 2 exchanges".`,
  );

export const turnsNeedExchanges = (name: string): Message =>
  say(
    "turns",
    `"turns" of "${name}" are taken every so many exchanges: write "when: after every 2 exchanges", or leave "turns" out.`,
  );

export const tooFewToDraw = (name: string, turns: number, values: number): Message =>
  say(
    "turns",
    `"${name}" cannot draw ${String(turns)} together out of ${String(values)}: write a number from 2 to ${String(Math.max(2, values))}.`,
  );
