/** Every message about a club's own words. */
import type { Message } from "./faults.ts";

const say = (code: string, text: string): Message => ({ code, text });

const articled = (name: string): string => `${/^[aeiou]/i.test(name) ? "an" : "a"} ${name}`;

export const noParts = (opening: string): Message =>
  say(
    "no-parts",
    `"${opening}" is an opening, and openings have no parts here. Write "a part of the" and a part of the body.`,
  );
export const contradicts = (base: string, what: string, wanted: string): Message =>
  say(
    "blow-contradicts",
    `${articled(base).replace(/^a/, "A")} cannot be ${wanted}: its ${what} is settled already. Leave "${wanted}" out, or begin with another blow.`,
  );
export const mixedTargets = (): Message =>
  say(
    "mixed-targets",
    `Name parts of the body or openings here, not both: a cut "to the head", or one "to the upper left opening".`,
  );
export const strokeAndSide = (stroke: string): Message =>
  say(
    "stroke-and-side",
    `"${stroke}" says the side already, and turns with a left-hander's hand. Leave "from" out.`,
  );
