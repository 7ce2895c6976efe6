/** The canonical sentence of a club's own word. */
import type { OwnWord } from "./tree.ts";

const articled = (text: string): string => `${/^[aeiou]/i.test(text) ? "an" : "a"} ${text}`;

const side = (name: string): string => (name === "above" ? "above" : `the ${name}`);

function printBlow({ of, shape = {} }: OwnWord): string {
  const { stroke, direction, edge, form, hand, footwork, sides, targets } = shape;
  const head = [stroke, direction, edge, form ?? of ?? "blow"];
  const tail = [
    hand === undefined ? undefined : `with ${hand}`,
    footwork === undefined ? undefined : `with ${articled(footwork)}`,
    sides && `from ${sides.map(side).join(" or ")}`,
    targets && `to ${targets.map((name) => `the ${name}`).join(" or ")}`,
  ];
  return articled([...head, ...tail].filter((part) => part !== undefined).join(" "));
}

export function printOwnWord(word: OwnWord): string {
  if (word.sameAs !== undefined) return `another word for ${word.sameAs}`;
  if (word.is === "blow" && (word.of === undefined || word.shape !== undefined)) return printBlow(word);
  if (word.of !== undefined)
    return word.is === "target" ? `a part of the ${word.of}` : `a kind of ${word.of}`;
  if (word.strikes === true) return "an action that strikes";
  return word.is === "footwork" ? "footwork" : articled(word.is);
}
