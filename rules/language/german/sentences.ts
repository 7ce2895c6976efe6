/** German conditions, pay, effects, limits. */
import type { MannerOfExchange, Scope, Unit } from "../../vocabulary.ts";
import { words } from "../print-phrase.ts";
import type {
  Amount,
  Condition,
  Counted,
  Effect,
  Limit,
  Owner,
  Pay,
  Quantity,
  Receiver,
  Sum,
  Times,
  Watcher,
  What,
} from "../tree.ts";
import { number, owned, phraseText, valueText } from "./phrase.ts";
import { quoted } from "./words.ts";

export const amountText = ({ n, cmp }: Amount): string =>
  words(number(n), cmp === "exactly" ? "" : cmp === "or more" ? "oder mehr" : "oder weniger");

const HOW: Readonly<Record<MannerOfExchange, readonly [is: string, isNot: string]>> = {
  double: ["ein Doppeltreffer", "kein Doppeltreffer"],
  simultaneous: ["gleichzeitig", "nicht gleichzeitig"],
  "no exchange": ["kein gültiger Gang", "ein gültiger Gang"],
};

type Plain = Exclude<Condition, { is: "not" }>;
type Of<K extends Condition["is"]> = Extract<Condition, { is: K }>;

const who = (one: "I" | "they" | "me" | "them"): string =>
  one === "I" || one === "me" ? "ich" : "der Gegner";
/** A main clause with its verb second: behind something that leads, the subject comes after the verb. */
const clause = (lead: string, subject: string, verb: string, ...rest: readonly string[]): string =>
  lead === "" ? words(subject, verb, ...rest) : words(lead, verb, subject, ...rest);
const inn = (not: boolean): string => (not ? "nicht" : "");

export const conditionText = (condition: Condition, lead = ""): string =>
  condition.is === "not" ? said(condition.what, true, lead) : said(condition, false, lead);

export const conditionsText = (all: readonly Condition[]): string =>
  all.map((one) => conditionText(one)).join(", und ");

function said(given: Condition, not: boolean, lead: string): string {
  const one = given as Plain;
  switch (one.is) {
    case "phrase":
      return phraseIs(one, not, lead);
    case "these": {
      const none = one.amount.n === 0 && one.amount.cmp === "exactly";
      return `${none ? "nichts" : amountText(one.amount)} von: ${one.these.map((each) => conditionText(each)).join("; ")}`;
    }
    case "last":
      return conditionText(one.what, words(lead, earlier(one)));
    case "exchange":
      return clause(lead, "es", "ist", HOW[one.how][not ? 1 : 0]);
    case "exchange number":
      return clause(lead, "es", "ist", inn(not), numberText(one.no));
    case "time":
      return one.what === "left"
        ? `es bleiben ${number(one.seconds)} s ${MORE[one.cmp]}`
        : `${number(one.seconds)} s ${MORE[one.cmp]} sind vorbei`;
    case "lasts":
      return `der Gang dauert ${number(one.seconds)} s ${MORE[one.cmp]}`;
    case "level":
      return words("es steht", inn(not), "gleich");
    default:
      return personal(one, not, lead);
  }
}

const MORE = { "or more": "oder mehr", "or less": "oder weniger" } as const;

function phraseIs({ phrase }: Of<"phrase">, not: boolean, lead: string): string {
  if (!not) return phraseText(phrase, lead);
  const [step, ...more] = phrase.steps;
  const short = step !== undefined && more.length === 0 && phrase.first !== true && step.never !== true;
  if (short) return phraseText({ steps: [{ ...step, never: true }] }, lead);
  return `${clause(lead, "es", "geschieht", "nie")}: ${phraseText(phrase)}`;
}

function earlier({ of }: Of<"last">): string {
  if (of === undefined) return "im letzten Gang";
  return `in ${amountText(of.amount)} der letzten ${number(of.exchanges)} Gänge`;
}

function numberText(no: Amount | "last"): string {
  if (no === "last") return "der letzte Gang";
  const since = no.cmp === "exactly" ? "" : no.cmp === "or more" ? "oder später" : "oder früher";
  return words("Gang", number(no.n), since);
}

type Personal = Exclude<
  Plain,
  { is: "phrase" | "these" | "last" | "exchange" | "exchange number" | "time" | "lasts" | "level" }
>;

function personal(one: Personal, not: boolean, lead: string): string {
  switch (one.is) {
    case "lead": {
      const by = one.by === undefined ? "" : `mit ${amountText(one.by)}`;
      return words(
        who(one.who),
        one.who === "I" ? "liege" : "liegt",
        inn(not),
        by,
        one.how === "ahead" ? "vorn" : "hinten",
      );
    }
    case "role":
      return words(who(one.who), one.who === "I" ? "bin" : "ist", inn(not), quoted(one.role));
    case "fencer":
      return words(
        who(one.who),
        one.who === "I" ? "bin" : "ist",
        inn(not),
        one.oneOf === true ? "einer aus" : "",
        owned(one.owner, one.mark),
      );
    case "outcome":
      return outcome(one, not, lead);
    case "call":
      return clause(
        lead,
        "der Richter",
        "ruft",
        inn(not),
        quoted(one.call),
        one.for === "me" ? "für mich" : "für den Gegner",
      );
    case "rule pays":
      return rulePays(one, not, lead);
    default:
      return named(one, not);
  }
}

const OUTCOMES = {
  score: ["punkte", "punktet", ""],
  "win the bout": ["gewinne", "gewinnt", "den Kampf"],
  "lose the bout": ["verliere", "verliert", "den Kampf"],
} as const;

function outcome({ who: one, what }: Of<"outcome">, not: boolean, lead: string): string {
  if (one === "nobody") return "niemand gewinnt den Kampf";
  const [I, they, object] = OUTCOMES[what];
  return clause(lead, who(one), one === "I" ? I : they, object, inn(not));
}

function rulePays({ rule, who: one, last }: Of<"rule pays">, not: boolean, lead: string): string {
  const whom = one === "me" ? "mir" : "dem Gegner";
  if (last === true) return words(quoted(rule), "zahlte", whom, "im letzten Gang", inn(not));
  return clause(lead, quoted(rule), "zahlt", whom, inn(not));
}

type Named = Extract<Condition, { is: "mark" | "quantity" | "flag" | "pick" | "token" }>;
const COMPARED = {
  "more than": "größer als",
  "less than": "kleiner als",
  "level with": "gleich wie",
} as const;

function named(one: Named, not: boolean): string {
  const now = "now" in one && one.now === true ? "jetzt" : "";
  const is = words("ist", now, inn(not));
  switch (one.is) {
    case "mark": {
      if (typeof one.than !== "string") return words(owned(one.owner, one.mark), is, amountText(one.than));
      const cmp = one.than.replace(/ theirs$/u, "") as keyof typeof COMPARED;
      return words(owned(one.owner, one.mark), is, COMPARED[cmp], "beim Gegner");
    }
    case "quantity": {
      const { than } = one;
      const sum = quantityText(one.quantity);
      if (!("than" in than)) return words(sum, is, amountText(than));
      const other = than.than === "theirs" ? "beim Gegner" : quantityText(than.than);
      return words(sum, is, COMPARED[than.cmp], other);
    }
    case "flag":
      return words(owned(one.owner, one.mark), is, one.on ? "an" : "aus");
    case "pick": {
      const value =
        typeof one.values === "string"
          ? "dasselbe wie beim Gegner"
          : one.values.map((text) => valueText({ text })).join(" oder ");
      return words(owned(one.owner, one.pick), is, value);
    }
    case "token": {
      const moment = one.atThatMoment === true ? "in dem Augenblick" : "";
      if (one.whose === "nobody's")
        return words(not ? "jemand hat" : "niemand hat", moment, quoted(one.mark));
      return words(one.whose === "mine" ? "ich habe" : "der Gegner hat", moment, quoted(one.mark), inn(not));
    }
  }
}

const MY: Readonly<Record<Counted, string>> = {
  points: "Punkte",
  bonus: "Bonus",
  touch: "Treffer in diesem Gang",
  warnings: "Verwarnungen",
  penalties: "Straftreffer",
  bouts: "Kämpfe",
  wins: "Siege",
  doubles: "die Doppeltreffer",
  exchanges: "die Gänge",
};
const SINGULAR: ReadonlySet<Counted> = new Set(["bonus", "touch"]);
const possessive = (owner: Owner, one: Counted): string => {
  if (owner === "the") return "";
  const e = SINGULAR.has(one) ? "" : "e";
  return owner === "my" ? `mein${e}` : `sein${e}`;
};

function termText(term: Quantity[number]): string {
  if ("n" in term) return number(term.n);
  if ("mark" in term) return owned(term.owner, term.mark);
  const team =
    term.owner === "my team's"
      ? "meiner Mannschaft"
      : term.owner === "their team's"
        ? "seiner Mannschaft"
        : "";
  return words(
    team === "" ? possessive(term.owner, term.counted) : "die",
    MY[term.counted],
    team,
    term.tonight === true ? "heute Abend" : "",
  );
}

export const quantityText = (quantity: Quantity): string =>
  quantity
    .map((term, at) => words(at === 0 ? "" : term.minus === true ? "minus" : "plus", termText(term)))
    .join(" ");

export const timesText = ({ quantity, now }: Times): string =>
  words("mal", quantityText(quantity), now === true ? "jetzt" : "");

export const unitText = (n: number, unit: Unit): string =>
  `${number(n)} ${unit === "bonus" ? "Bonus" : Math.abs(n) === 1 ? "Punkt" : "Punkte"}`;

const TO: Readonly<Record<Receiver, string>> = {
  me: "für mich",
  them: "für den Gegner",
  "us both": "für uns beide",
  "my team": "für meine Mannschaft",
  "their team": "für seine Mannschaft",
};

function sumText(sum: Sum): string {
  if (sum.is === "what pays them") return `was ${quoted(sum.rule)} dem Gegner zahlt,`;
  if (sum.is === "between") return `zwischen ${number(sum.low)} und ${unitText(sum.high, sum.unit)}`;
  const last = unitText(sum.numbers.at(-1) ?? 0, sum.unit);
  const before = sum.numbers.slice(0, -1).map(number);
  return before.length === 0 ? last : `${before.join("; ")}; dann ${last}`;
}

export const payText = (pay: Pay): string =>
  words(
    sumText(pay.sum),
    TO[pay.to],
    pay.asTheJudgeSays === true ? "nach dem Wort des Richters" : "",
    pay.by === undefined ? "" : `nach ${quoted(pay.by)}`,
    pay.times && timesText(pay.times),
    pay.eachTime === true ? "jedes Mal" : "",
    pay.forEachFullSeconds === undefined ? "" : `für je volle ${number(pay.forEachFullSeconds)} s`,
    pay.if && pay.if.length > 0 ? `wenn gilt: ${conditionsText(pay.if)}` : "",
  );

const WHAT: Readonly<Record<What, string>> = {
  points: "Punkte",
  bonus: "Bonus",
  "points and bonus": "Punkte und Bonus",
};
const from = (rule: string | undefined): string => (rule === undefined ? "" : `aus ${quoted(rule)}`);
/** "meine Punkte", "seinen Bonus": the object of what is done. */
const object = (whose: "my" | "their", what: What): string =>
  words(`${whose === "my" ? "mein" : "sein"}${what === "bonus" ? "en" : "e"}`, WHAT[what]);
const FACTORS: Readonly<Record<number, string>> = { 2: "verdopple", 3: "verdreifache", 0.5: "halbiere" };
const ENDINGS = {
  "both lose": "beide verlieren",
  "I lose": "ich verliere",
  "they lose": "der Gegner verliert",
} as const;

export function effectText(effect: Effect): string {
  switch (effect.is) {
    case "annul": {
      const resting =
        effect.restingOn === undefined
          ? ""
          : `, soweit auf einer Aktion ${quoted(effect.restingOn)} beruhend`;
      return `${words("streiche", object(effect.whose, effect.what), from(effect.from))}${resting}`;
    }
    case "multiply": {
      const whole = words(object(effect.whose, effect.what), from(effect.from));
      const factor = FACTORS[effect.by];
      return factor === undefined ? `vervielfache ${whole} mit ${number(effect.by)}` : `${factor} ${whole}`;
    }
    case "turn over":
      return words("gib", object("my", effect.what), from(effect.from), "dem Gegner");
    case "hold": {
      const long = effect.exchanges === 1 ? "einen Gang" : `${number(effect.exchanges)} Gänge`;
      const lost = effect.lostIf === undefined ? "" : `, verloren bei: ${phraseText(effect.lostIf)}`;
      return `halte meinen Bonus ${long} lang zurück${lost}`;
    }
    case "end the bout":
      return `beende den Kampf${effect.how === undefined ? "" : `, ${ENDINGS[effect.how]}`}`;
    case "warn":
      return effect.who === "me" ? "verwarne mich" : "verwarne den Gegner";
    case "retire":
      return "nimm mich für heute Abend heraus";
  }
}

const SCOPES: Readonly<Record<Scope, string>> = {
  exchange: "je Gang",
  bout: "je Kampf",
  pair: "je Paar heute Abend",
  team: "je Mannschaft heute Abend",
  evening: "heute Abend",
  hall: "in der Halle heute Abend",
};

function limitText({ n, of, scope, together }: Limit): string {
  const times = n === 1 ? "einmal" : n === 2 ? "zweimal" : `${number(n)}-mal`;
  return words(
    of === "times" ? times : unitText(n, of),
    SCOPES[scope],
    together === true ? "für uns beide zusammen" : "",
  );
}
export const limitsText = (limits: readonly Limit[]): string => limits.map(limitText).join(", ");

export function watcherText(watcher: Watcher): string {
  switch (watcher.is) {
    case "table":
      return "der Tisch";
    case "referee":
      return "der Obmann";
    case "judge":
      return `Richter ${number(watcher.no)}`;
    case "second judge":
      return "ein zweiter Richter stimmt zu";
    case "fencers":
      return "die Fechter selbst";
  }
}
