/** A club's own word: a plain class, a finer word, a second name, or a blow in the language's own words. */
import { WORD_CLASSES } from "../vocabulary.ts";
import type { Cursor } from "./cursor.ts";
import { contradicts, mixedTargets, noParts, strokeAndSide } from "./faults-word.ts";
import type { Word } from "./lexicon.ts";
import type { OwnShape, OwnWord } from "./tree.ts";

type OwnSentence = Omit<OwnWord, "name">;
type Shape = { -readonly [K in keyof OwnShape]: OwnShape[K] };

const PLAIN = ["action", "manner", "target", "guard", "call", "footwork"] as const;
/** Classes whose words can have finer ones. */
const WITH_KINDS = ["action", "guard", "footwork"] as const;
const ADJECTIVES = ["direction", "edge"] as const;
const STROKES = ["forehand", "backhand"] as const;

/** What an own word is. Throws through the cursor where no form fits. */
export function parseOwnWord(c: Cursor): OwnSentence {
  if (c.take("another word for") || c.take("same as")) {
    const word = c.word(WORD_CLASSES) ?? c.fail();
    return { is: word.class, sameAs: word.name };
  }
  if (c.take("part of") || c.take("target of")) return parsePart(c);
  if (c.take("action that strikes") || c.take("strike")) return { is: "action", strikes: true };
  const is = c.oneOf(PLAIN);
  if (is !== undefined) return { is };
  const kindOf = c.take("kind of");
  if (kindOf) {
    const word = c.word(WITH_KINDS);
    if (word) return { is: word.class, of: word.name };
  }
  return parseBlow(c, kindOf);
}

function parsePart(c: Cursor): OwnSentence {
  const from = c.at;
  const word = c.word(["target"]) ?? c.fail();
  if (word.means?.opening !== undefined && word.means.target === undefined)
    c.wrong(noParts(word.name), from, c.at);
  return { is: "target", of: word.name };
}

/** "a forehand level cut with the false edge from above to the head or the arm"; "a descending mandritto". */
function parseBlow(c: Cursor, kindOf: boolean): OwnSentence {
  const shape: Shape = {};
  const from = c.at;
  const places: [keyof OwnShape, string, number, number][] = [];
  const note = (key: keyof OwnShape, text: string, start: number): void =>
    void places.push([key, text, start, c.at]);
  for (;;) {
    const start = c.at;
    const stroke = shape.stroke === undefined ? c.oneOf(STROKES) : undefined;
    if (stroke !== undefined) {
      shape.stroke = stroke;
      note("stroke", stroke, start);
      continue;
    }
    const word = c.word(ADJECTIVES);
    if (word === undefined) break;
    const key = word.class as (typeof ADJECTIVES)[number];
    if (shape[key] !== undefined) return c.fail();
    shape[key] = word.name;
    note(key, word.name, start);
  }
  const base = parseHead(c, shape, kindOf);
  while (parseModifier(c, shape, note));
  checkShape(c, shape, base, places, from);
  const bare = Object.keys(shape).length === 0;
  return { is: "blow", ...(base ? { of: base.name } : {}), ...(bare ? {} : { shape }) };
}

/** The noun: a form, a blow, or "blow" for one that is neither. */
function parseHead(c: Cursor, shape: Shape, kindOf: boolean): Word | undefined {
  const word = c.word(["form", "blow"]);
  if (word?.class === "form") shape.form = word.name;
  else if (word) return word;
  else if (kindOf || !c.take("blow")) c.fail();
  return undefined;
}

function parseModifier(
  c: Cursor,
  shape: Shape,
  note: (key: keyof OwnShape, text: string, start: number) => void,
): boolean {
  const start = c.at;
  if (shape.sides === undefined && c.take("from")) {
    shape.sides = parseList(c, "side");
    note("sides", `from the ${shape.sides.join(" or ")}`, start);
  } else if (shape.targets === undefined && c.take("to")) {
    shape.targets = parseList(c, "target");
    note("targets", `to the ${shape.targets.join(" or ")}`, start);
  } else if (c.take("with")) {
    const word = c.word(["edge", "hand", "footwork"]) ?? c.fail();
    const key = word.class as "edge" | "hand" | "footwork";
    if (shape[key] !== undefined) return c.fail();
    shape[key] = word.name;
    note(key, `with ${word.name}`, start);
  } else return false;
  return true;
}

function parseList(c: Cursor, wordClass: "side" | "target"): readonly string[] {
  const names = [(c.word([wordClass]) ?? c.fail()).name];
  while (c.take("or")) names.push((c.word([wordClass]) ?? c.fail()).name);
  return [...new Set(names)];
}

const SAYS: Readonly<Record<keyof OwnShape, string>> = {
  stroke: "side",
  direction: "direction",
  edge: "edge",
  form: "form",
  hand: "hand",
  footwork: "footwork",
  sides: "side",
  targets: "target",
};

/** A blow cannot be what the blow that it is a kind of never is. */
function checkShape(
  c: Cursor,
  shape: OwnShape,
  base: Word | undefined,
  places: readonly (readonly [keyof OwnShape, string, number, number])[],
  from: number,
): void {
  if (shape.stroke !== undefined && shape.sides !== undefined)
    c.wrong(strokeAndSide(shape.stroke), from, c.at);
  const targets = (shape.targets ?? []).map((name) => c.names.words.named(name, "target"));
  const openings = targets.filter((word) => word?.means?.opening !== undefined);
  if (openings.length > 0 && openings.length < targets.length) c.wrong(mixedTargets(), from, c.at);
  if (!base) return;
  for (const [key, text, start, end] of places)
    if (!fits(c, key, shape, base)) c.wrong(contradicts(base.name, SAYS[key], text), start, end);
}

function fits(c: Cursor, key: keyof OwnShape, shape: OwnShape, base: Word): boolean {
  const { means = {}, stroke } = base;
  switch (key) {
    case "stroke":
      return stroke === undefined ? means.side === undefined : stroke === shape.stroke;
    case "sides":
      return stroke === undefined && (means.side === undefined || overlap(shape.sides ?? [], means.side));
    case "targets":
      return (shape.targets ?? []).some((name) => {
        const word = c.names.words.named(name, "target");
        const given = word?.means?.target ?? (word?.means?.opening ? undefined : [name]);
        return (
          overlap(given ?? means.target ?? [""], means.target ?? given ?? [""]) &&
          overlap(
            word?.means?.opening ?? means.opening ?? [""],
            means.opening ?? word?.means?.opening ?? [""],
          )
        );
      });
    case "direction":
    case "edge":
    case "form":
    case "hand":
    case "footwork": {
      const value = shape[key] ?? "";
      const mine = c.names.words.named(value, key)?.means?.[key] ?? [value];
      const given = means[key];
      return given === undefined || overlap(mine, given);
    }
  }
}

const overlap = (one: readonly string[], two: readonly string[]): boolean =>
  one.some((value) => two.includes(value));
