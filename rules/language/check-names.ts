/** Names: each once, none that the language has already, none that does not exist. */
import type { Checking } from "./checking.ts";
import * as say from "./faults-check.ts";
import { CLASS_NAMES } from "./names.ts";
import { printPhrase } from "./print-phrase.ts";
import { quotedName, sameName } from "./tokens.ts";
import { visit } from "./walk.ts";
import { wordsFor } from "./words.ts";

export function checkNames(checking: Checking): void {
  checkOwnWords(checking);
  checkGivenNames(checking);
  checkTouches(checking);
  checkRuleNames(checking);
  checkRulesNamed(checking);
  checkCircles(checking);
}

/** The grammar's own single words, which would change what a sentence says. */
const RESERVED: ReadonlySet<string> = new Set(
  "i they we my their hit miss strike act begin with to from not for and or then never is are me them now".split(
    " ",
  ),
);

function checkOwnWords({ ruleSet, envelope }: Checking): void {
  const language = wordsFor(ruleSet.weapon, []);
  for (const word of ruleSet.words) {
    const [known] = language.find(word.name);
    const place = envelope.placeOf(word);
    if (known) envelope.fault(say.wordAlready(word.name, CLASS_NAMES[known.class]), place);
    else if (RESERVED.has(sameName(word.name)))
      envelope.fault(say.wordAlready(word.name, "a word of the grammar"), place);
  }
}

/** Picks and marks stand where words stand, so neither may repeat the other or a word. */
function checkGivenNames({ ruleSet, envelope, names }: Checking): void {
  const taken = new Map<string, string>();
  const give = (what: string, one: { readonly name: string }): void => {
    const key = sameName(one.name);
    const before = taken.get(key);
    if (before !== undefined) envelope.fault(say.nameOfTwo(one.name, before, what), envelope.placeOf(one));
    else taken.set(key, what);
    const [word] = names.words.find(one.name);
    if (word) envelope.fault(say.wordAlready(one.name, CLASS_NAMES[word.class]), envelope.placeOf(one));
    else if (RESERVED.has(key))
      envelope.fault(say.wordAlready(one.name, "a word of the grammar"), envelope.placeOf(one));
  };
  for (const pick of ruleSet.picks) give("a pick", pick);
  for (const mark of ruleSet.marks) give("a mark", mark);
}

/** "I thrust and hit" and "I hit with a thrust" are one touch. */
function checkTouches({ ruleSet, envelope }: Checking): void {
  const seen = new Set<string>();
  for (const touch of ruleSet.touches) {
    const text = printPhrase(touch.phrase);
    if (seen.has(text)) envelope.fault(say.touchTwice(text), envelope.placeOf(touch));
    seen.add(text);
  }
}

function checkRuleNames({ ruleSet, envelope }: Checking): void {
  const seen = new Set<string>();
  for (const rule of ruleSet.rules) {
    const key = quotedName(rule.name);
    if (key === "") continue;
    if (seen.has(key)) envelope.fault(say.nameTwice("rules", rule.name), envelope.placeOf(rule));
    seen.add(key);
  }
}

function checkRulesNamed({ ruleSet, envelope, names }: Checking): void {
  visit(ruleSet, {
    condition(condition, holder) {
      if (condition.is === "rule pays" && names.rule(condition.rule) === undefined)
        envelope.fault(
          say.unknownRule(condition.rule, names.ruleNames()),
          envelope.placeOf(condition, holder),
        );
    },
  });
  const rules = new Map(ruleSet.rules.map((rule) => [rule.name, rule]));
  for (const rule of ruleSet.rules)
    for (const pay of rule.pays ?? []) {
      if (pay.sum.is !== "what pays them") continue;
      const place = envelope.placeOf(pay, rule);
      const other = rules.get(pay.sum.rule);
      if (other === undefined) envelope.fault(say.unknownRule(pay.sum.rule, names.ruleNames()), place);
      else if (other.pays?.some(({ sum }) => sum.is === "what pays them") === true)
        envelope.fault(say.paysItself(rule.name), place);
    }
}

/** A phrase that makes itself, through others or at once, has no end. */
function checkCircles({ ruleSet, envelope }: Checking): void {
  const phrases = new Map(ruleSet.phrases.map((named) => [named.name, named]));
  const done = new Set<string>();
  const follow = (name: string, path: readonly string[]): void => {
    const named = phrases.get(name);
    if (named === undefined || done.has(name)) return;
    if (path.includes(name)) {
      for (const one of path) done.add(one);
      envelope.fault(say.circle(path.slice(path.indexOf(name))), envelope.placeOf(named.phrase));
      return;
    }
    for (const { doing } of named.phrase.steps) if ("make" in doing) follow(doing.make, [...path, name]);
    done.add(name);
  };
  for (const { name } of ruleSet.phrases) follow(name, []);
}
