/** The canonical YAML of a rule set: one meaning, one text. Reading it gives an equal tree. */
import { DEFAULT_BOUT } from "./print-bout.ts";
import { printCondition } from "./print-condition.ts";
import { printPhrase } from "./print-phrase.ts";
import type { AnyOf, Mark, Pick, Rule, RuleSet } from "./tree.ts";
import { type BoutKey, ENGLISH, type KeyWord, type Wording } from "./wording.ts";

/** Values that another YAML reader would take for a number, a truth value or nothing. */
const NOT_TEXT = /^(?:[-+]?(?:\d[\d_]*)?\.?\d+(?:e[-+]?\d+)?|0[xo][\da-f]+|true|false|null|~|\.inf|\.nan)$/i;
const PLAIN = /^(?:[\p{L}\d(]|-\d)[^\p{Cc}\p{Cs}\u2028\u2029\ufeff]*$/u;

/** How a text stands in the file. */
type Scalar = (text: string) => string;
const asItIs: Scalar = (text) => text;

/** A text as a YAML scalar, without quotes where that is safe. */
function yamlScalar(text: string): string {
  const plain = PLAIN.test(text) && !/: |:$| #|\s$|\s\s/.test(text) && !NOT_TEXT.test(text);
  if (plain) return text;
  const single = /^[^\p{Cc}\p{Cs}\u2028\u2029\ufeff']+$/u.test(text);
  return single && text.includes('"') ? `'${text}'` : JSON.stringify(text);
}

type Value = string | number | readonly string[];
/** A key of the writer's own, or a word of the envelope. */
type Line = readonly [key: string, value: Value];
type KeyLine = readonly [key: KeyWord, value: Value];

/** YAML takes a key of more than 1024 characters only after a question mark. */
const LONGEST_KEY = 1000;

/** One value stands beside its key, several make a list under it. */
function field(scalar: Scalar, indent: string, [key, value]: Line, alwaysList = false): readonly string[] {
  if (typeof value === "number") {
    const written = scalar(key);
    if (written.length > LONGEST_KEY) return [`${indent}? ${written}`, `${indent}: ${String(value)}`];
    return [`${indent}${written}: ${String(value)}`];
  }
  if (typeof value === "string") return [`${indent}${scalar(key)}: ${scalar(value)}`];
  const [only] = value;
  if (only === undefined) return [];
  if (value.length === 1 && !alwaysList) return [`${indent}${scalar(key)}: ${scalar(only)}`];
  return [`${indent}${scalar(key)}:`, ...value.map((one) => `${indent}  - ${scalar(one)}`)];
}

/** Printed as a list even where it holds one line. */
const LISTS: ReadonlySet<string> = new Set<KeyWord>(["from", "changes", "ends", "starts"]);

/** Prints a whole rule set in one wording. */
class Printer {
  private readonly say: Wording;
  private readonly scalar: Scalar;

  constructor(wording: Wording) {
    this.say = wording;
    this.scalar = wording.written ? yamlScalar : asItIs;
  }

  ruleSet({ name, weapon, words, phrases, picks, marks, bout, touches, rules }: RuleSet): string {
    const { say } = this;
    const lines = [
      ...this.fields("", [["name", name], weapon && ["weapon", say.weapon(weapon)]]),
      ...this.section("words", this.own(words.map((word): Line => [word.name, say.ownWord(word)]))),
      ...this.section("phrases", this.own(phrases.map((one): Line => [one.name, say.phrase(one.phrase)]))),
      ...this.section("picks", this.entries(picks.map((pick) => [pick.name, this.pick(pick)]))),
      ...this.section("marks", this.entries(marks.map((mark) => [mark.name, this.mark(mark)]))),
      ...this.section("bout", this.fields("  ", this.bout(bout))),
      ...this.section(
        "touches",
        this.own(touches.map(({ phrase, worth }): Line => [say.phrase(phrase), worth])),
      ),
      ...this.section(
        "rules",
        rules.map((rule) => this.rule(rule)),
      ),
    ];
    return `${lines.join("\n")}\n`;
  }

  /** One rule as it stands in a file's list of rules. */
  rule(rule: Rule): string {
    return this.fields("    ", this.ruleLines(rule))
      .map((line, at) => (at === 0 ? line.replace("    ", "  - ") : line))
      .join("\n");
  }

  private ruleLines(rule: Rule): readonly (KeyLine | undefined)[] {
    const { at, bestOf, notBelow, watch, atMost } = rule;
    const { say } = this;
    return [
      ["name", rule.name],
      at && ["at", say.at(at)],
      ["when", (rule.when ?? []).map(say.phrase)],
      ["if", this.anyOf(rule.if)],
      ["unless", this.anyOf(rule.unless)],
      ["pays", (rule.pays ?? []).map(say.pay)],
      ["does", (rule.does ?? []).map(say.effect)],
      atMost && atMost.length > 0 ? ["at most", say.limits(atMost)] : undefined,
      bestOf === undefined ? undefined : ["best of", bestOf],
      notBelow === undefined ? undefined : ["not below", notBelow],
      watch && ["watch", say.watcher(watch)],
    ];
  }

  private anyOf(lines: AnyOf | undefined): readonly string[] {
    return (lines ?? []).map(this.say.conditions);
  }

  private pick({ by, from, when, seenBy, shown, turns }: Pick): readonly (KeyLine | undefined)[] {
    const { say } = this;
    return [
      ["by", say.pickBy(by)],
      ["from", from.map(say.value)],
      ["when", say.pickTime(when)],
      seenBy && ["seen by", say.seenBy(seenBy)],
      shown && ["shown", say.shown(shown)],
      turns === undefined ? undefined : ["turns", turns],
    ];
  }

  private mark(mark: Mark): readonly (KeyLine | undefined)[] {
    const { say } = this;
    return [
      ["is", say.markKind(mark)],
      mark.starts && ["starts", say.markStart(mark.starts)],
      ["changes", mark.changes.map(say.change)],
    ];
  }

  /** What holds anyway is left out. */
  private bout(bout: RuleSet["bout"]): readonly KeyLine[] {
    const usual = this.say.bout(DEFAULT_BOUT);
    return Object.entries(this.say.bout(bout))
      .filter(([key, text]) => text.length > 0 && usual[key as BoutKey] !== text)
      .map(([key, text]): KeyLine => [key as BoutKey, text]);
  }

  private fields(indent: string, lines: readonly (KeyLine | undefined)[]): readonly string[] {
    return lines.flatMap((line) => {
      if (line === undefined) return [];
      const [key, value] = line;
      return field(
        this.scalar,
        indent,
        [this.say.key(key), value],
        LISTS.has(key) && typeof value === "object",
      );
    });
  }

  private section(title: KeyWord, lines: readonly string[]): readonly string[] {
    return lines.length === 0 ? [] : [`${this.say.key(title)}:`, ...lines];
  }

  private own(lines: readonly Line[]): readonly string[] {
    return lines.flatMap((line) => field(this.scalar, "  ", line));
  }

  private entries(
    named: readonly (readonly [string, readonly (KeyLine | undefined)[]])[],
  ): readonly string[] {
    return named.flatMap(([name, lines]) => [`  ${this.scalar(name)}:`, ...this.fields("    ", lines)]);
  }
}

/** The canonical YAML in English, which reads back to an equal tree; in another wording it is for reading only. */
export const printRuleSet = (ruleSet: RuleSet, wording: Wording = ENGLISH): string =>
  new Printer(wording).ruleSet(ruleSet);

/** One rule as it stands in a file's list of rules. */
export const printRule = (rule: Rule, wording: Wording = ENGLISH): string => new Printer(wording).rule(rule);

export { printCondition, printPhrase };
