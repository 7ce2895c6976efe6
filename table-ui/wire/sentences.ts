/** What happened, in one sentence, from where a seat sits: "Teo hit your arm", "Red hit the torso". */
import type { Act, Ending, ExchangeLine, Side } from "../../rules/index.ts";
import { other } from "../../rules/index.ts";
import type { BoutExchange, Source } from "../../engine/index.ts";
import { spoken } from "./names.ts";

/** How a seat speaks of each side. */
export interface Voice {
  /** The side that is "you". */
  readonly you?: Side;
  /** First names, where the seat speaks in names; else Red and Blue are said. */
  readonly names?: { readonly red: string; readonly blue: string };
}

/** The voice of everybody who has no side: Red and Blue. */
export const NEUTRAL: Voice = {};

/** A fencer's voice: "you" and the other's first name, unless both would be called the same. */
export function voiceOf(you: Side, names: { readonly red: string; readonly blue: string }): Voice {
  const short = { red: spoken(names.red), blue: spoken(names.blue) };
  return { you, names: short.red === short.blue ? names : short };
}

const colour = (side: Side): string => (side === "red" ? "Red" : "Blue");
const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
const who = (voice: Voice, side: Side): string =>
  voice.you === side ? "you" : (voice.names?.[side] ?? colour(side));
const whose = (voice: Voice, side: Side): string =>
  voice.you === side ? "your" : `${voice.names?.[side] ?? colour(side)}'s`;

/** "your arm" of the one who is hit; without a voice "the arm". */
function target(voice: Voice, act: Act, struck: Side): string {
  if (act.target === undefined) return voice.you === undefined ? "" : ` ${who(voice, struck)}`;
  return voice.you === struck ? ` your ${act.target}` : ` the ${act.target}`;
}

function tellHit(voice: Voice, act: Act, by: Side): string {
  const struck = other(by);
  const verb = act.end === "perhaps" ? "perhaps hit" : "hit";
  const place = target(voice, act, struck);
  if (act.kind === "afterblow") {
    return place === ""
      ? `${who(voice, by)} landed an afterblow`
      : `${whose(voice, by)} afterblow ${verb}${place}`;
  }
  return `${who(voice, by)} ${verb}${place}`;
}

/** One sentence of an exchange as it is known now: who hit what, or why nothing counts. */
export function tellExchange(line: ExchangeLine, voice: Voice): string {
  if (line.how === "no exchange") return "No exchange.";
  if (line.how === "double") return "Double: both hit.";
  if (line.how === "simultaneous") return "Simultaneous: both attacked at once.";
  const told = line.acts
    .filter((act) => act.end === "hit" || act.end === "perhaps")
    .flatMap((act) => (act.by === "both" ? ["both hit"] : [tellHit(voice, act, act.by)]));
  if (told.length === 0) return "Nobody hit.";
  return `${capital(told.join("; "))}.`;
}

/** A sentence of the engine, which says Red and Blue, in a seat's voice. A rule's name in front stays as it is. */
export function speak(sentence: string, voice: Voice, rule = ""): string {
  if (voice.you === undefined) return sentence;
  const head = rule !== "" && sentence.startsWith(rule) ? rule : "";
  let rest = sentence.slice(head.length);
  for (const side of ["red", "blue"] as const) {
    const name = colour(side);
    const verbs: readonly [string, string][] =
      voice.you === side
        ? [
            [" was", " were"],
            [" has", " have"],
            [" is", " are"],
            [" does", " do"],
          ]
        : [];
    for (const [one, many] of verbs) {
      rest = rest.replaceAll(new RegExp(`\\b${name}${one}\\b`, "g"), `${who(voice, side)}${many}`);
    }
    rest = rest.replaceAll(new RegExp(`\\b${name}'s\\b`, "g"), whose(voice, side));
    rest = rest.replaceAll(new RegExp(`\\b${name}\\b`, "g"), who(voice, side));
  }
  const said = `${head}${rest}`;
  return head === "" ? capital(said) : said;
}

/** Who put an exchange right, and why: "Put right by judge 1: saw the parry." */
export function tellPutRight(putRight: NonNullable<BoutExchange["putRight"]>): string {
  const why = putRight.why === undefined ? "." : `: ${putRight.why.replace(/\.?$/, ".")}`;
  return `Put right by ${tellSource(putRight.by)}${why}`;
}

export function tellSource(source: Source): string {
  if (source.referee === true) return "the referee";
  if (source.kind === "judge") return source.judge === undefined ? "a judge" : `judge ${source.judge}`;
  if (source.kind === "fencer") return "a fencer";
  return `the ${source.kind}`;
}

const score = (mine: number, theirs: number): string => `${mine} to ${theirs}`;

/** How a bout ended: "You won, 8 to 6.", "Mira H. won, 8 to 6." */
export function tellEnding(
  ending: Ending,
  points: { readonly red: number; readonly blue: number },
  names: { readonly red: string; readonly blue: string },
  you?: Side,
): string {
  const name = (side: Side): string => (side === you ? "You" : names[side]);
  const level = score(points[you ?? "red"], points[other(you ?? "red")]);
  switch (ending) {
    case "red wins":
      return `${name("red")} won, ${score(points.red, points.blue)}.`;
    case "blue wins":
      return `${name("blue")} won, ${score(points.blue, points.red)}.`;
    case "draw":
      return `A draw, ${level}.`;
    case "both lose":
      return `Both lose, ${level}.`;
    case "no winner":
      return `No winner, ${level}.`;
    case "stopped":
      return `Stopped at ${level}.`;
    case "red forfeits":
    case "blue forfeits": {
      const side = ending === "red forfeits" ? "red" : "blue";
      return `${name(side)} ${side === you ? "forfeit" : "forfeits"}.`;
    }
  }
}

const NUMBERS = ["never", "once", "twice"] as const;
/** "once", "twice", "3 times". */
export const times = (n: number): string => NUMBERS[n] ?? `${n} times`;
