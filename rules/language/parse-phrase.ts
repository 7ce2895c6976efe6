/** Phrases: who does what, in which order. */
import type { WordClass } from "../vocabulary.ts";
import type { Cursor } from "./cursor.ts";
import { canonicalDoing, type Draft } from "./canonical.ts";
import { mixedVerbs, needsSubject, notKept, ownBody, unknownPhrase, whoseName } from "./faults-sentence.ts";
import type { Name } from "./names.ts";
import {
  LIKENESSES,
  type Alike,
  type Blow,
  type Choice,
  type Doing,
  type Gap,
  type Owner,
  type Phrase,
  type Place,
  type Ref,
  type Result,
  type Step,
  type Subject,
} from "./tree.ts";

const RESULTS: readonly Result[] = ["hit", "miss", "fall short"];
const BLOW_CLASSES = ["direction", "edge", "form", "blow", "hand", "footwork"] as const;

/** "I", "they", "I or they", "we both"; undefined where no fencer is named. */
export function parseSubject(c: Cursor): Subject | undefined {
  if (c.take("I")) {
    if (c.sees("or they")) c.take("or they");
    else return "I";
    return "either";
  }
  if (c.take("they")) {
    if (!c.take("or I")) return "they";
    return "either";
  }
  return c.take("we both") ? "both" : undefined;
}

/** [P2] Steps joined by "then" or "at once"; "first" ties the first one to the opening of the exchange. */
export function parsePhrase(c: Cursor): Phrase {
  const from = c.at;
  const first = c.take("first");
  const steps = [parseStep(c, "start")];
  for (let link = parseLink(c); link !== undefined; link = parseLink(c)) steps.push(parseStep(c, link));
  return c.placed(first ? { first, steps } : { steps }, from);
}

function parseLink(c: Cursor): Step["link"] | undefined {
  const from = c.at;
  c.comma();
  if (c.sees("and then") || c.sees("and at once") || c.sees("and next")) c.take("and");
  if (c.take("then")) return c.oneOf(["at once", "next"]) ?? "then";
  const link = c.oneOf(["at once", "next"]);
  if (link !== undefined) return link;
  c.at = from;
  return undefined;
}

/** "within 2 s", "after 3 s or more": how long after the step before. */
function parseGap(c: Cursor): Gap | undefined {
  if (c.take("within")) return { is: "within", seconds: parseSeconds(c) };
  if (!c.take("after")) return undefined;
  const seconds = parseSeconds(c);
  c.need("or more");
  return { is: "after", seconds };
}

function parseStep(c: Cursor, link: Step["link"]): Step {
  const before = link === "start" ? undefined : parseGap(c);
  const from = c.at;
  const subject = parseSubject(c);
  if (subject === undefined) {
    if (link !== "start" && startsVerb(c)) c.wrong(needsSubject(link, c.token()?.text ?? ""));
    return c.fail();
  }
  const never = c.take("never");
  const doing = c.take("make") ? { make: parsePhraseName(c) } : parseDoing(c, subject);
  const gap = before ?? (link === "start" ? undefined : parseGap(c));
  return c.placed({ link, ...(gap ? { gap } : {}), subject, ...(never ? { never } : {}), doing }, from);
}

const startsVerb = (c: Cursor): boolean =>
  ["hit", "miss", "fall short", "strike", "act", "begin", "make"].some((verb) => c.sees(verb)) ||
  c.names.words.longest(c.tokens, c.at, ["action", "form"]) !== undefined;

function parsePhraseName(c: Cursor): string {
  const name = c.name(["phrase"]);
  if (name) return name.name;
  const token = c.token();
  if (token) c.wrong(unknownPhrase(token.text, c.names.list("phrase")));
  return c.fail();
}

/** The verb, then the modifiers in any order, then "and hit". */
function parseDoing(c: Cursor, subject: Subject): Doing {
  const draft: Draft = { kinds: [], with: [], to: [], from: [], manners: [] };
  parseVerb(c, draft, subject);
  while (parseModifier(c, draft, subject));
  if (draft.result === undefined && c.sees("and") && RESULTS.some((result) => c.sees(result, 1))) {
    c.take("and");
    draft.result = c.needOneOf(RESULTS);
  } else if (draft.result === undefined) noteResult(c);
  return canonicalDoing(draft);
}

function noteResult(c: Cursor): void {
  const from = c.at;
  if (c.take("and")) c.oneOf(RESULTS);
  c.at = from;
}

function parseVerb(c: Cursor, draft: Draft, subject: Subject): void {
  const verb = c.names.words.longest(c.tokens, c.at, ["action", "form"]);
  // "strike with the pommel" and "act in counter-time" are longer than "strike" and "act".
  if (verb === undefined || verb.next === c.at + 1) {
    const result = c.oneOf(RESULTS);
    if (result !== undefined) {
      draft.result = result;
      if (startsTarget(c)) draft.to.push(parseChoice(c, (one) => parseTarget(one, subject)));
      return;
    }
    if (c.take("strike")) draft.offence = true;
    if (draft.offence || c.take("act")) return;
    if (c.take("begin")) {
      draft.begin = true;
      return;
    }
  }
  const step = c.names.words.longest(c.tokens, c.at, ["action", "form", "footwork"])?.values[0];
  if (step?.class === "footwork") {
    // "I lunge": whatever is done with that step.
    draft.with.push({ any: [{ footwork: (c.word(["footwork"]) ?? step).name }] });
    return;
  }
  const word = c.word(["action", "form"]) ?? c.fail();
  const same: WordClass = word.class;
  const names = [word.name];
  while (c.take("or")) {
    const from = c.at;
    const next = c.word([same]);
    if (next === undefined) {
      const mixed = c.word(["action", "form"]);
      if (mixed) c.wrong(mixedVerbs(word.name, mixed.name), from, c.at);
      c.fail();
    } else names.push(next.name);
  }
  if (same === "action") draft.kinds.push(...names);
  else {
    draft.offence = true;
    draft.with.push({ any: names.map((form) => ({ form })) });
  }
}

function parseModifier(c: Cursor, draft: Draft, subject: Subject): boolean {
  const manner = c.word(["manner"]);
  if (manner) draft.manners.push({ manner: manner.name });
  else if (c.take("not")) draft.manners.push({ manner: (c.word(["manner"]) ?? c.fail()).name, not: true });
  else if (c.take("with")) draft.with.push(parseChoice(c, parseBlow));
  else if (c.take("to")) draft.to.push(parseChoice(c, (one) => parseTarget(one, subject)));
  else if (c.take("from")) draft.from.push(parseChoice(c, parsePlace));
  else if (c.sees("for") && c.token(1)?.kind === "number") {
    c.take("for");
    const seconds = parseSeconds(c);
    if (c.needOneOf(["or more", "or less"]) === "or more") draft.seconds = seconds;
    else draft.upTo = seconds;
  } else return false;
  return true;
}

/** "N s", "N seconds". */
export function parseSeconds(c: Cursor): number {
  const n = c.needNumber();
  c.needOneOf(["s", "sec", "second", "seconds"]);
  return n;
}

function parseChoice<T extends object>(c: Cursor, parseOne: (c: Cursor) => T | Ref): Choice<T> {
  const but = c.take("anything but");
  const any = [parseAlike(c) ?? parseOne(c)];
  while (c.sees("or") && !isSubject(c, 1)) {
    c.take("or");
    any.push(parseAlike(c) ?? parseOne(c));
  }
  return but ? { but, any } : { any };
}

/** "another target", "the same guard as theirs"; undefined where neither stands here. */
function parseAlike(c: Cursor): Alike | undefined {
  const alike = c.oneOf(["another", "the same"]);
  if (alike === undefined) return undefined;
  const what = c.needOneOf(LIKENESSES);
  const theirs = c.oneOf(["than theirs", "as theirs"]) !== undefined;
  return theirs ? { alike, what, theirs } : { alike, what };
}

const isSubject = (c: Cursor, ahead: number): boolean => c.sees("I", ahead) || c.sees("they", ahead);

const OWNERS = ["my team's", "their team's", "my", "their"] as const;
/** "my", "their", "my team's"; "the" is an article and may be missing. */
export const parseOwner = (c: Cursor): Owner => c.oneOf(OWNERS) ?? "the";

/** Only marks that remember something can be compared with an action. */
const remembers = (name: Name): boolean =>
  name.of === "pick" ||
  (name.of === "mark" && (name.is === "note" || name.is === "set" || name.is === undefined));

/** A pick, note or set; undefined where none is named here, and the cursor stays. */
function parseRef(c: Cursor): Ref | undefined {
  const from = c.at;
  const oneOf = c.take("one of");
  const owner = parseOwner(c);
  const found = c.name(["pick", "mark"], remembers);
  if (found === undefined) {
    if (oneOf) c.fail();
    c.at = from;
    return undefined;
  }
  checkOwner(c, owner, found, from);
  const atThatMoment = found.of === "mark" && c.take("at that moment");
  return c.placed(
    { ref: found.name, owner, ...(oneOf ? { oneOf } : {}), ...(atThatMoment ? { atThatMoment } : {}) },
    from,
  );
}

/** "my" and "their" belong to what each fencer has; "the" to what the bout, the pair or the hall has. */
export function checkOwner(
  c: Cursor,
  owner: Owner,
  name: Name & { of: "pick" | "mark" },
  from: number,
): void {
  const keeper = name.of === "pick" ? (name.each ? "each fencer" : "the bout") : name.for;
  if (keeper === undefined) return;
  const each = keeper.startsWith("each fencer");
  const team = keeper === "each team tonight";
  if (each && owner !== "my" && owner !== "their") c.wrong(whoseName(name.name), from, c.at);
  if (team && !owner.endsWith("team's")) c.wrong(notKept(name.name, "a team", "my team's"), from, c.at);
  if (!each && !team && owner !== "the") c.wrong(notKept(name.name, keeper, "the"), from, c.at);
}

function parseBlow(c: Cursor): Blow | Ref {
  const ref = parseRef(c);
  if (ref) return ref;
  const from = c.at;
  const blow: { -readonly [K in keyof Blow]: string } = {};
  for (;;) {
    const before = c.at;
    const word = c.word(BLOW_CLASSES);
    if (word === undefined) break;
    const key = word.class as (typeof BLOW_CLASSES)[number];
    if (blow[key] !== undefined) {
      c.at = before;
      break;
    }
    blow[key] = word.name;
    if (key !== "direction" && key !== "edge") break;
  }
  if (c.at === from) return c.fail();
  // "a descending" alone is half a word; "the false edge" is whole.
  if (blow.direction !== undefined && blow.form === undefined && blow.blow === undefined) return c.fail();
  return c.placed(blow, from);
}

const startsTarget = (c: Cursor): boolean => {
  if (c.sees("anything but") || c.sees("one of") || c.sees("another") || c.sees("same")) return true;
  const ahead = c.sees("my team's") || c.sees("their team's") ? 2 : c.sees("my") || c.sees("their") ? 1 : 0;
  if (ahead > 0) return true;
  const named = c.names.longest(c.tokens, c.at, (name) => name.of !== "phrase" && name.of !== "role");
  const found = c.names.words.longest(c.tokens, c.at, ["target"]) ?? named;
  if (found === undefined) c.note({ kind: "class", class: "target" });
  return found !== undefined;
};

function parseTarget(c: Cursor, subject: Subject): { readonly target: string } | Ref {
  const ref = parseRef(c);
  if (ref) return ref;
  const from = c.at;
  const owner = parseOwner(c);
  const word = c.word(["target"]) ?? c.fail();
  checkBody(c, owner, subject, from);
  return { target: word.name };
}

/** A strike does not land on the striker's own body. */
function checkBody(c: Cursor, owner: Owner, subject: Subject, from: number): void {
  if (owner === "the") return;
  const own = subject === "I" ? "my" : "their";
  if (subject === "either" || subject === "both" || owner === own)
    c.wrong(ownBody(owner, subject), from, from + 1);
}

function parsePlace(c: Cursor): Place | Ref {
  const ref = parseRef(c);
  if (ref) return ref;
  parseOwner(c);
  const word = c.word(["side", "guard"]) ?? c.fail();
  return word.class === "side" ? { side: word.name } : { guard: word.name };
}

/** A blow alone, as a pick's value says it: "descending cut", "zornhau". */
export function parseBlowWords(c: Cursor): string {
  const blow = parseBlow(c);
  if ("ref" in blow) return c.fail();
  const { direction, edge, form, blow: name, hand, footwork } = blow;
  return [direction, edge, form, name, hand, footwork].filter((word) => word !== undefined).join(" ");
}

export const parseTargetWord = (c: Cursor): string => (c.word(["target"]) ?? c.fail()).name;
