/**
 * The same rule set with every rule, and every touch as a rule, paying one bonus without limits. Scoring a line with it
 * says which rules hold there, so that the table's chips are lit by the scorer itself and not by rules of their own.
 */
import type { Phrases } from "../language/explain-phrase.ts";
import { phrasesOfSet } from "../language/explain.ts";
import type { Pay, Rule, RuleSet } from "../language/tree.ts";
import { wordsFor, type Words } from "../language/words.ts";
import type { BoutSheet, ExchangeLine } from "../record.ts";
import { type Side, SIDES, type Unit, UNITS } from "../vocabulary.ts";
import { compile } from "./compile.ts";
import type { Scorer } from "./scorer.ts";
import { foldExchange } from "./fold.ts";
import { foldSheet, type FoldedExchange } from "./sheet-fold.ts";
import { keyOf } from "./keys.ts";
import { Hull } from "./worlds.ts";

export interface Probe {
  readonly scorer: Scorer;
  readonly phrases: Phrases;
  readonly words: Words;
}

const ONE_BONUS: Pay = { sum: { is: "numbers", numbers: [1], unit: "bonus" }, to: "me" };

/** No coach's rule has this name: a rule's name has no line break. */
export const touchProbe = (index: number): string => `touch\n${index}`;

export const changeProbe = (mark: number, change: number): string => `change\n${mark}.${change}`;
export const phraseProbe = (index: number): string => `phrase\n${index}`;

function changeRules(set: RuleSet): readonly Rule[] {
  return set.marks.flatMap((mark, index) =>
    mark.changes.flatMap((change, place): readonly Rule[] => {
      if (change.when.is === "every") return [];
      // What a change reads of payments comes after them; the table only has to say the facts.
      const all = change.when.all.filter((one) => one.is === "phrase" || one.is === "exchange");
      return all.length === 0 ? [] : [{ name: changeProbe(index, place), if: [all], pays: [ONE_BONUS] }];
    }),
  );
}

function probeRule(rule: Rule): Rule {
  return {
    name: rule.name,
    ...(rule.at === undefined ? {} : { at: rule.at }),
    ...(rule.when === undefined ? {} : { when: rule.when }),
    ...(rule.if === undefined ? {} : { if: rule.if }),
    ...(rule.unless === undefined ? {} : { unless: rule.unless }),
    pays: [ONE_BONUS],
  };
}

/** The probing scorer of a rule set. */
export function probeOf(scorer: Scorer): Probe {
  const { ruleSet } = scorer;
  const touches = ruleSet.touches.map((touch, index): Rule => ({
    name: touchProbe(index),
    when: [touch.phrase],
    pays: [ONE_BONUS],
  }));
  const counted = ruleSet.phrases.map(({ phrase }, index): Rule => ({
    name: phraseProbe(index),
    when: [phrase],
    pays: [ONE_BONUS],
  }));
  const probing: RuleSet = {
    ...ruleSet,
    rules: [...ruleSet.rules.map(probeRule), ...touches, ...changeRules(ruleSet), ...counted],
  };
  return {
    scorer: compile(probing),
    phrases: phrasesOfSet(ruleSet),
    words: wordsFor(ruleSet.weapon, ruleSet.words),
  };
}

/** Where the bout stands before its next exchange; folded once for a sheet, however many lines are tried after it. */
const stands = new WeakMap<Scorer, WeakMap<BoutSheet, FoldedExchange>>();
const NOTHING: ExchangeLine = { type: "exchange", no: 0, how: "no exchange", acts: [], open: false };

function standAfter(scorer: Scorer, before: BoutSheet): FoldedExchange | undefined {
  const known = stands.get(scorer) ?? new WeakMap<BoutSheet, FoldedExchange>();
  stands.set(scorer, known);
  const stand = known.get(before) ?? foldSheet(scorer.program, [...before, NOTHING]).exchanges.at(-1);
  if (stand !== undefined) known.set(before, stand);
  return stand;
}

/** What one exchange gives: the least and the most of each award over everything that is not known. */
export interface Outlook {
  readonly scorer: Scorer;
  readonly hull: Hull;
}

/** The outlook of a line that comes next after what is on the sheet. Questions and sentences are left to `scoreBout`. */
export function outlook(scorer: Scorer, before: BoutSheet, line: ExchangeLine): Outlook {
  const { program } = scorer;
  const stand = standAfter(scorer, before);
  const nothing = new Hull(program.keys);
  if (stand === undefined) return { scorer, hull: nothing };
  const { leftHanded } = stand.line;
  const here = leftHanded === undefined ? line : { ...line, leftHanded };
  const { hull } = foldExchange(program, stand.before, here, stand.picks, stand.position, nothing);
  return { scorer, hull };
}

const numberOf = ({ program }: Scorer, rule: string): number =>
  rule === "touch" ? program.own.touch : program.rules.findIndex((one) => one.rule.name === rule);

/** What a rule ("touch" for what a hit is worth) gives to a fencer at most; equal to `least` where it is settled. */
export function amountOf(
  { scorer, hull }: Outlook,
  rule: string,
  to: Side,
  unit: Unit,
): { readonly least: number; readonly most: number } {
  const key = keyOf(numberOf(scorer, rule), SIDES.indexOf(to), UNITS.indexOf(unit));
  return { least: hull.least[key] ?? 0, most: hull.most[key] ?? 0 };
}

/** Could it hold, as far as is known? */
export const mayHold = (seen: Outlook, rule: string, side: Side): boolean =>
  amountOf(seen, rule, side, "bonus").most > 0;

/** Does this rule surely hold in this line, for this fencer as "I"? */
export const holds = (seen: Outlook, rule: string, side: Side): boolean =>
  amountOf(seen, rule, side, "bonus").least > 0;
