/** One rule as one full sentence, and as one short line for a phone. */
import { anyText, allText } from "./explain-condition.ts";
import { effectText, limitsText, payText, watcherText } from "./explain-pay.ts";
import { asCommand, asStatement, isBeingHit, type Phrases, type SaidPhrase } from "./explain-phrase.ts";
import { alternatives, capital, FULL, listed, type Detail, type Tone } from "./explain-words.ts";
import type { AnyOf, Condition, Pay, Phrase, Rule } from "./tree.ts";

/** The longest short line that still fits beside a pay leaf on a phone. */
export const SHORT = 44;

/** Does the rule give the fencer something, so that it can be put as a command? */
export function rewards(rule: Rule): boolean {
  const pays = rule.pays ?? [];
  if (pays.length > 0) return pays.some(paysMe) && !pays.some(takesFromMe);
  return (rule.does ?? []).some(
    (effect) =>
      (effect.is === "multiply" && effect.by > 1 && effect.whose === "my") ||
      (effect.is === "annul" && effect.whose === "their"),
  );
}
const paysMe = (pay: Pay): boolean =>
  pay.to !== "them" && (pay.sum.is !== "numbers" || pay.sum.numbers.some((n) => n > 0));
const takesFromMe = (pay: Pay): boolean =>
  pay.to !== "them" && pay.sum.is === "numbers" && pay.sum.numbers.some((n) => n < 0);

const AT = {
  "the end of the bout": "At the end of the bout",
  "the end of the evening": "At the end of the evening",
};

const onlyBeingHit = (lines: AnyOf | undefined): boolean => {
  const [line] = lines ?? [];
  const [one] = line ?? [];
  return (
    lines?.length === 1 &&
    line?.length === 1 &&
    one !== undefined &&
    one.is === "phrase" &&
    isBeingHit(one.phrase)
  );
};

function unlessText(rule: Rule, phrases: Phrases, command: boolean): string {
  if (rule.unless === undefined || rule.unless.length === 0) return "";
  if (onlyBeingHit(rule.unless)) return command ? " and stay unhit" : " and they do not hit you";
  return `, unless ${linesText(rule, rule.unless, phrases)}`;
}

/** The phrases of `when`: one command where every one of them can be commanded, else what happens. */
function whenText(when: readonly Phrase[], phrases: Phrases, tone: Tone, command: boolean): SaidPhrase {
  const commands = when.map((phrase) => asCommand(phrase, phrases, tone));
  if (command && commands.every((one) => one.command)) {
    return { text: alternatives(commands.map((one) => one.text)), command: true };
  }
  return { text: alternatives(when.map((phrase) => asStatement(phrase, phrases, tone))), command: false };
}

/** At the end of a bout "the last exchange" is the bout's last. */
const linesText = (rule: Rule, lines: AnyOf, phrases: Phrases): string => {
  const said = anyText(lines, phrases);
  return rule.at === undefined
    ? said
    : said
        .replaceAll("in the exchange before", "in the last exchange")
        .replaceAll("this exchange counted", "this bout counted");
};

const conditionsOf = (rule: Rule, phrases: Phrases): string =>
  rule.if === undefined || rule.if.length === 0 ? "" : linesText(rule, rule.if, phrases);

/** What has to happen, without the pay: "Parry a cut, then land a riposte and stay unhit". */
export function happening(rule: Rule, phrases: Phrases): string {
  const at = rule.at === undefined ? "" : AT[rule.at];
  const given = conditionsOf(rule, phrases);
  const said =
    rule.when === undefined || rule.when.length === 0
      ? undefined
      : whenText(rule.when, phrases, FULL, rewards(rule));
  if (said?.command) {
    const unless = unlessText(rule, phrases, true);
    const opening = given === "" ? at : `${at === "" ? "If" : `${at}, if`} ${given}`;
    return capital(opening === "" ? said.text + unless : `${opening}, ${said.text}${unless}`);
  }
  const happens = [said?.text ?? "", given].filter((part) => part !== "").join(", and ");
  const unless = unlessText(rule, phrases, false);
  const lead = rewards(rule) || said === undefined ? "when" : "if";
  if (happens === "") {
    const bare = unless === "" ? "" : unless.replace(/^(, | and )/, "").replace(/^they do/, "if they do");
    const always = at === "" ? "in every exchange" : "";
    return capital([at === "" ? "" : at, always, bare].filter((part) => part !== "").join(", "));
  }
  const opening = at === "" ? lead : `${at}, if`;
  return capital(`${opening} ${happens}${unless}`);
}

/** "2 bonus to you, at most 4 a bout". */
function outcome(rule: Rule, phrases: Phrases): string {
  const pays = (rule.pays ?? []).map((pay) => payText(pay, phrases)).join(", and ");
  const does = (rule.does ?? []).map((effect) => effectText(effect, phrases)).join(", and ");
  const limits = limitsText(rule);
  const paid = [pays, limits].filter((part) => part !== "").join(", ");
  const parts = [paid, does].filter((part) => part !== "");
  return parts.length === 0 ? "nothing" : parts.join("; ");
}

/** Names of the rules among which only the best counts. */
function rivalsText(rule: Rule, rules: readonly Rule[]): string {
  const rivals = rules.filter((one) => one !== rule && one.bestOf === rule.bestOf);
  if (rule.bestOf === undefined || rivals.length === 0) return "";
  const names = listed(
    rivals.map((one) => `"${one.name}"`),
    "and",
  );
  return `of this and ${names} only the best counts`;
}

/** The whole rule in one sentence: what to do, what it pays, how often, what else it does, and who watches. */
export function ruleSentence(rule: Rule, rules: readonly Rule[], phrases: Phrases): string {
  const floor = rule.notBelow === undefined ? "" : `never below ${rule.notBelow}`;
  const watch = rule.watch === undefined ? "" : watcherText(rule.watch);
  const tail = [outcome(rule, phrases), rivalsText(rule, rules), floor, watch].filter((part) => part !== "");
  return `${happening(rule, phrases)}: ${tail.join("; ")}.`;
}

const DETAILS: readonly Detail[] = [0, 1, 2, 3];

function shortCondition(rule: Rule, phrases: Phrases): string {
  const [line, ...more] = rule.if ?? [];
  if (line === undefined || more.length > 0) return conditionsOf(rule, phrases);
  const roles = line.filter(
    (one): one is Extract<Condition, { is: "role" }> => one.is === "role" && one.who === "I",
  );
  return roles.length === line.length
    ? `as ${roles.map((one) => one.role).join(" and ")}`
    : `if ${allText(line, phrases)}`;
}

function shortUnless(rule: Rule, phrases: Phrases, command: boolean): readonly string[] {
  if (rule.unless === undefined || rule.unless.length === 0) return [""];
  if (onlyBeingHit(rule.unless))
    return command ? [" and stay unhit", ", unhit"] : [" and they do not hit you"];
  return [`, unless ${linesText(rule, rule.unless, phrases)}`];
}

/** Every way to say the rule shortly, the fullest first. */
function candidates(rule: Rule, phrases: Phrases): readonly string[] {
  const given = shortCondition(rule, phrases);
  const at = rule.at === "the end of the bout" ? "at the end: " : rule.at === undefined ? "" : "tonight: ";
  if (rule.when === undefined || rule.when.length === 0)
    return [at + happening(rule, phrases).replace(/^At the end of [^,]*, /, "")];
  // A line that leaves out when the pay is due would promise too much; the rule's name does not.
  if ((rule.pays ?? []).some((pay) => (pay.if?.length ?? 0) > 0)) return [];
  const opening = given === "" ? "" : `${given}, `;
  const command = rewards(rule);
  return DETAILS.flatMap((detail) => {
    const said = whenText(rule.when ?? [], phrases, { detail, familiar: true }, command);
    const body = said.command
      ? opening + said.text
      : `when ${said.text}${given === "" ? "" : ` and ${given.replace(/^if /, "")}`}`;
    return shortUnless(rule, phrases, said.command).map((unless) => `${at}${body}${unless}`);
  });
}

/**
 * The rule in one line of at most `most` characters where that is possible without saying something else: "Parry the
 * cut, then land your riposte". Where nothing honest fits, the coach's own name for the rule stands.
 */
export function ruleShort(rule: Rule, phrases: Phrases, most: number = SHORT): string {
  const fitting = candidates(rule, phrases).find((text) => text.length <= most);
  return capital(fitting ?? rule.name);
}
