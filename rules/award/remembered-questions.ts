/** What was the target of it? Asked where a mark remembers it, or where two actions are compared in it. */
import type { Act, ExchangeLine } from "../record.ts";
import { REMEMBERED_CLASSES, saidAttribute } from "./attributes.ts";
import { type Candidate, storeOf } from "./candidate.ts";
import { remembered } from "./doing.ts";
import { truth } from "./formula.ts";
import { isStrike } from "./known.ts";
import { actId } from "./lines.ts";
import type { Program } from "./program.ts";
import type { Answer, AttributeKey } from "./tally.ts";
import * as say from "./question-words.ts";

const REMEMBERED: Readonly<Record<string, AttributeKey>> = {
  kind: "kind",
  blow: "blow",
  form: "form",
  target: "target",
  opening: "target",
  hand: "hand",
  side: "from",
  guard: "from",
};

const isOpen = (set: bigint): boolean => (set & (set - 1n)) !== 0n;

/** What a mark remembers of an action or is compared with, where nobody wrote it or the word may be a finer one. */
export function remembering(program: Program, line: ExchangeLine): readonly Candidate[] {
  const { doings, ruleSet } = program.env;
  const marks = ruleSet.marks.filter(({ is }) => is === "note" || is === "set");
  const whats = new Map<string, readonly string[]>();
  for (const { what } of doings.likes.compared) whats.set(what, doings.likes.values(what));
  for (const mark of marks) whats.set(remembered(mark), doings.domain(mark).values);
  return [...whats].flatMap(([what, all]) => {
    const attribute = doings.attributes.mentioned(saidAttribute(what)) ?? doings.attributes.mentioned(what);
    const key = REMEMBERED[what];
    if (attribute === undefined || key === undefined) return [];
    return line.acts.flatMap((act, i): Candidate[] => {
      const store = storeOf(program, line, i);
      const own = doings.attributes.mentioned(what);
      const isGeneral = own !== undefined && isOpen(store[own] as bigint);
      if (!isCompared(program, act) || (!isOpen(store[attribute] as bigint) && !isGeneral)) return [];
      const values = all.filter((value) => {
        const wordClass = REMEMBERED_CLASSES[what];
        // An opening is no finer word for a part of the body.
        if (what === "target" && !doings.attributes.constraint(value, "target").has("target")) return false;
        return wordClass === undefined || truth(doings.attributes.word(value, wordClass), store) !== false;
      });
      const answers = values.map((value): Answer => {
        const word = what === "opening" ? openingWord(program, value) : value;
        const fact = { fact: "attribute", act: actId(line, i), key } as const;
        // "head" is an answer too, and says that it was no finer word.
        const finer = finerThan(program, what, value).map((one) => ({
          ...fact,
          value: one,
          not: true as const,
        }));
        return { label: value, facts: [{ ...fact, value: word }, ...finer] };
      });
      return [
        {
          id: `${actId(line, i)}/${what}`,
          text: `what was the ${what} of ${say.itsName(line, i)}?`,
          answers,
        },
      ];
    });
  });
}

/** A strike or a feint: only those are remembered, and compared with each other. */
export const isCompared = ({ env }: Program, act: Act): boolean =>
  isStrike(act) || act.kind === "feint" || env.doings.attributes.isOffence(act.kind ?? "");

/** The words that a general one may have been: face and throat for the head. */
function finerThan({ env }: Program, what: string, value: string): readonly string[] {
  const wordClass = REMEMBERED_CLASSES[what];
  if (wordClass === undefined) return [];
  const values = env.doings.attributes.constraint(value, wordClass).get(what) ?? [];
  return values.filter((one) => one !== value);
}

const openingWord = ({ env }: Program, opening: string): string =>
  env.doings.attributes.lookup.all("target").find((word) => word.means?.opening?.includes(opening) === true)
    ?.name ?? opening;
