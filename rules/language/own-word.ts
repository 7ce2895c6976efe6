/** What a club's own word means, as an entry of the word list. */
import type { WordClass } from "../vocabulary.ts";
import type { ActAttribute, Meaning, Word } from "./lexicon.ts";
import type { OwnWord } from "./tree.ts";

/** The attribute in which the words of a class are values. */
const ATTRIBUTE_OF: Readonly<Partial<Record<WordClass, ActAttribute>>> = {
  action: "kind",
  blow: "blow",
  target: "target",
  guard: "guard",
  footwork: "footwork",
};
const attributeOf = (wordClass: WordClass): ActAttribute | undefined => ATTRIBUTE_OF[wordClass];

type Named = (name: string, wordClass: WordClass) => Word | undefined;
type Means = { -readonly [A in keyof Meaning]: Meaning[A] };

/** Everything that these words may be, in one attribute. */
function union(
  names: readonly string[],
  wordClass: WordClass,
  attribute: ActAttribute,
  named: Named,
): string[] {
  const values = names.flatMap((name) => {
    const word = named(name, wordClass);
    return word?.means?.[attribute] ?? (word?.means?.opening ? [] : [name]);
  });
  return [...new Set(values)];
}

/** What the word's own sentence says of the blow, over what its base says. */
function shaped({ shape = {} }: OwnWord, base: Meaning, named: Named): Meaning {
  const means: Means = { ...base };
  if (shape.form !== undefined) means.form = [shape.form];
  if (shape.direction !== undefined) means.direction = [shape.direction];
  if (shape.edge !== undefined) means.edge = [shape.edge];
  if (shape.hand !== undefined) means.hand = union([shape.hand], "hand", "hand", named);
  if (shape.footwork !== undefined) means.footwork = union([shape.footwork], "footwork", "footwork", named);
  if (shape.sides !== undefined) means.side = shape.sides;
  const { targets = [] } = shape;
  const narrowed = (attribute: "target" | "opening"): readonly string[] => {
    const wanted = targets.flatMap((name) =>
      attribute === "target"
        ? union([name], "target", "target", named)
        : (named(name, "target")?.means?.opening ?? []),
    );
    const given = base[attribute];
    return given === undefined ? [...new Set(wanted)] : wanted.filter((value) => given.includes(value));
  };
  const [target, opening] = [narrowed("target"), narrowed("opening")];
  if (target.length > 0) means.target = target;
  if (opening.length > 0) means.opening = opening;
  return means;
}

/** The entry of an own word that is no other word's second name. */
export function entryOf(own: OwnWord, named: Named): Word {
  const base = own.of === undefined ? undefined : named(own.of, own.is);
  const attribute = attributeOf(own.is);
  const inherited: Means = { ...base?.means };
  if (attribute !== undefined) delete inherited[attribute];
  const means = shaped(own, inherited, named);
  const stroke = own.shape?.stroke ?? base?.stroke;
  const turns = own.shape?.sides === undefined ? base?.turns : undefined;
  return {
    name: own.name,
    class: own.is,
    ...(own.of === undefined ? {} : { of: own.of }),
    ...(Object.keys(means).length > 0 ? { means } : {}),
    ...(stroke === undefined ? {} : { stroke }),
    ...(turns === undefined ? {} : { turns }),
    ...(own.strikes === true || base?.offence === true ? { offence: true } : {}),
  };
}

/** A word that now covers a finer one: whatever is the finer word is this one too. Undefined where it does not. */
export function widened(word: Word, finer: Pick<Word, "name" | "class" | "of">): Word | undefined {
  const attribute = attributeOf(finer.class);
  if (finer.of === undefined || attribute === undefined) return undefined;
  const isParent = word.class === finer.class && word.name === finer.of;
  const values = word.means?.[attribute] ?? (isParent ? [word.name] : []);
  if (!isParent && !values.includes(finer.of)) return undefined;
  if (values.includes(finer.name)) return undefined;
  return { ...word, means: { ...word.means, [attribute]: [...values, finer.name] } };
}

/** A word with a second name. */
export const alsoNamed = (word: Word, name: string): Word => ({
  ...word,
  also: [...(word.also ?? []), name],
});

/** The parts of the body that a blow may land on, each with its own parts: "head" is the face and the throat too. */
export function withParts(word: Word, named: Named): Word {
  const targets = word.means?.target;
  if (word.class === "target" || targets === undefined) return word;
  const all = union(targets, "target", "target", named);
  return all.length === targets.length ? word : { ...word, means: { ...word.means, target: all } };
}
