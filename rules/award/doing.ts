/** What one step asks of one action: a fixed formula, and choices that depend on picks and on marks that remember. */
import type { Blow, Choice, Doing, Mark, Owner, Place, Ref, RuleSet } from "../language/tree.ts";
import { type AttributeClass, type Attributes, REMEMBERED_CLASSES, saidAttribute } from "./attributes.ts";
import { and, FALSE, type Formula, not, or } from "./formula.ts";
import { Likes, type LikeTest } from "./likes.ts";
import { Unsupported } from "./refusal.ts";

/** Every distinct formula that steps ask; an action's signature is the truth of each. */
export class Predicates {
  readonly formulas: Formula[] = [];
  /** The predicate of a formula's number, where it is one. */
  private readonly ids: number[] = [];
  /** Two formulas have one number where they are written the same; words share theirs, so that most are known. */
  private readonly known = new Map<Formula, number>();
  private readonly numbers = new Map<string | number, number>();

  add(formula: Formula): number {
    const number = this.numberOf(formula);
    const known = this.ids[number];
    if (known !== undefined) return known;
    const id = this.formulas.push(formula) - 1;
    this.ids[number] = id;
    return id;
  }

  private numberOf(formula: Formula): number {
    const known = this.known.get(formula);
    if (known !== undefined) return known;
    let number: number;
    if (formula.op === "in") number = this.number(`${String(formula.attribute)}:${formula.set.toString(36)}`);
    else if (formula.op === "not") number = this.after(this.number("not"), this.numberOf(formula.of));
    else {
      number = this.number(formula.op);
      for (const part of formula.of) number = this.after(number, this.numberOf(part));
    }
    if (formula.op === "in") this.known.set(formula, number);
    return number;
  }

  private after(number: number, next: number): number {
    return this.number(number * 0x10_0000 + next);
  }

  private number(key: string | number): number {
    let number = this.numbers.get(key);
    if (number === undefined) this.numbers.set(key, (number = this.numbers.size));
    return number;
  }
}

/** One value from outside that a step names: which value the action has is told by one predicate for each. */
export interface RefTest {
  readonly owner: Owner;
  readonly name: string;
  readonly source: "pick" | "note" | "set";
  /** With what this exchange's earlier actions have made of it. */
  readonly atThatMoment: boolean;
  /** The predicate for each value, in the order of the pick's values or of the mark's domain. */
  readonly predicates: readonly number[];
}

export interface DynamicChoice {
  readonly but: boolean;
  /** The words beside the refs; -1 where there are none. */
  readonly words: number;
  readonly refs: readonly RefTest[];
  readonly likes: readonly LikeTest[];
}

export interface StepTest {
  readonly predicate: number;
  readonly begin: boolean;
  readonly choices: readonly DynamicChoice[];
}

type Slot = "with" | "to" | "from";

export class Doings {
  readonly attributes: Attributes;
  readonly predicates: Predicates;
  readonly likes: Likes;
  private readonly ruleSet: RuleSet;

  constructor(ruleSet: RuleSet, attributes: Attributes, predicates: Predicates) {
    this.ruleSet = ruleSet;
    this.attributes = attributes;
    this.predicates = predicates;
    this.likes = new Likes(ruleSet, attributes, predicates);
  }

  test(doing: Doing): StepTest {
    const a = this.attributes;
    const parts: Formula[] = [];
    const choices: ((rest: Formula) => DynamicChoice)[] = [];
    const { kinds } = doing;
    if (kinds?.length === 1) parts.push(a.word(kinds[0] as string, "action"));
    else if (kinds && kinds.length > 0) parts.push(or(kinds.map((kind) => a.word(kind, "action"))));
    if (doing.offence === true) parts.push(a.offence());
    for (const choice of doing.with ?? []) this.choice("with", choice, (b) => this.blow(b), parts, choices);
    for (const choice of doing.to ?? [])
      this.choice("to", choice, ({ target }) => a.word(target, "target"), parts, choices);
    for (const choice of doing.from ?? []) this.choice("from", choice, (p) => this.place(p), parts, choices);
    for (const { manner, not: isNot } of doing.manners ?? [])
      parts.push(isNot === true ? not(a.manner(manner)) : a.manner(manner));
    if (doing.seconds !== undefined) parts.push(a.is(secondsAttribute(doing.seconds), ["yes"]));
    if (doing.upTo !== undefined) parts.push(a.is(upToAttribute(doing.upTo), ["yes"]));
    if (doing.result !== undefined) parts.push(a.result(doing.result));
    const rest = and(parts);
    return {
      predicate: this.predicates.add(rest),
      begin: doing.begin === true,
      choices: choices.map((choice) => choice(rest)),
    };
  }

  private choice<T extends object>(
    slot: Slot,
    choice: Choice<T>,
    formula: (item: T) => Formula,
    parts: Formula[],
    choices: ((rest: Formula) => DynamicChoice)[],
  ): void {
    const words: Formula[] = [];
    const refs: ((rest: Formula) => RefTest)[] = [];
    const likes: LikeTest[] = [];
    for (const item of choice.any) {
      if ("ref" in item) refs.push((rest) => this.ref(slot, item, rest));
      else if ("alike" in item) likes.push(this.likes.test(item));
      else words.push(formula(item));
    }
    if (refs.length === 0 && likes.length === 0) parts.push(choice.but === true ? not(or(words)) : or(words));
    else
      choices.push((rest) => ({
        but: choice.but === true,
        words: words.length === 0 ? -1 : this.predicates.add(or(words)),
        refs: refs.map((one) => one(rest)),
        likes,
      }));
  }

  private blow(blow: Blow): Formula {
    const a = this.attributes;
    const parts: Formula[] = [];
    for (const key of ["direction", "edge", "form", "blow", "hand", "footwork"] as const) {
      const name = blow[key];
      if (name !== undefined) parts.push(a.word(name, key));
    }
    if (blow.kind !== undefined) parts.push(a.word(blow.kind, "action"));
    return and(parts);
  }

  private place(place: Place): Formula {
    return "side" in place
      ? this.attributes.word(place.side, "side")
      : this.attributes.word(place.guard, "guard");
  }

  private ref(slot: Slot, ref: Ref, rest: Formula): RefTest {
    const { owner, ref: name } = ref;
    const pick = this.ruleSet.picks.find((one) => one.name === name);
    if (pick) {
      const predicates = pick.from.map((value) => this.predicates.add(this.pickValue(slot, value)));
      return { owner, name, source: "pick", atThatMoment: false, predicates };
    }
    const mark = this.ruleSet.marks.find((one) => one.name === name);
    if (!mark || (mark.is !== "note" && mark.is !== "set"))
      throw new Unsupported(`"${name}" is no pick, note or set, so no action can be compared with it.`);
    const atThatMoment = ref.atThatMoment === true;
    return { owner, name, source: mark.is, atThatMoment, predicates: this.readAs(mark, rest) };
  }

  /** What a mark remembers is read as that word written in the rule: after "head", a hit to the face is one to it. */
  private readAs(mark: Mark, rest: Formula): readonly number[] {
    const what = remembered(mark);
    const values = this.domainValues(what, mark);
    // Asked only of an action that is the rest already: of any other nobody needs to know.
    return values.map((value) => this.predicates.add(and([rest, this.memoryWord(what, value, values)])));
  }

  private memoryWord(what: string, value: string, values: readonly string[]): Formula {
    const a = this.attributes;
    const wordClass = REMEMBERED_CLASSES[what];
    if (wordClass === undefined) return a.is(what, [value]);
    const word = a.word(value, wordClass);
    if (what !== "target") return word;
    // A table names openings or parts of the body: one is compared with its like only.
    const said = values.filter((one) => this.isOpening(one) === this.isOpening(value));
    return and([a.is(saidAttribute(what), said), word]);
  }

  private isOpening(target: string): boolean {
    return !this.attributes.constraint(target, "target").has("target");
  }

  /** A pick's value as a word of the slot that it stands in; a value that is no such word matches nothing. */
  private pickValue(slot: Slot, value: { text: string; blow?: string; target?: string }): Formula {
    if (value.blow === undefined && value.target === undefined)
      return this.anyWord(value.text, SLOT_CLASSES[slot]);
    const parts: Formula[] = [];
    if (value.blow !== undefined) parts.push(this.anyWord(value.blow, SLOT_CLASSES.with));
    if (value.target !== undefined) parts.push(this.anyWord(value.target, SLOT_CLASSES.to));
    return and(parts);
  }

  private anyWord(name: string, classes: readonly AttributeClass[]): Formula {
    for (const wordClass of classes) {
      const word = this.attributes.lookup.named(name, wordClass);
      if (word) return this.attributes.word(word.name, wordClass);
    }
    const [first, ...rest] = name.split(" ");
    if (first === undefined || rest.length === 0) return FALSE;
    // "descending cut": a direction or an edge, then a form or a blow.
    const head = this.anyWord(first, ["direction", "edge"]);
    const tail = this.anyWord(rest.join(" "), classes);
    return head === FALSE || tail === FALSE ? FALSE : and([head, tail]);
  }

  /** All values that a remembering mark can hold, and for each the predicate that this very word was recorded. */
  domain(mark: Mark): { readonly values: readonly string[]; readonly predicates: readonly number[] } {
    const what = remembered(mark);
    const values = this.domainValues(what, mark);
    const predicates = values.map((value) =>
      this.predicates.add(this.attributes.is(saidAttribute(what), [value])),
    );
    return { values, predicates };
  }

  private domainValues(attribute: string, mark: Mark): readonly string[] {
    const { lookup } = this.attributes;
    if (attribute === "opening")
      return [...new Set(lookup.all("target").flatMap((word) => word.means?.opening ?? []))].sort();
    const wordClass = REMEMBERED_CLASSES[attribute];
    if (wordClass === undefined) throw new Unsupported(`"${mark.name}" cannot remember a ${attribute} yet.`);
    return lookup
      .all(wordClass)
      .map((word) => word.name)
      .sort();
  }
}

const SLOT_CLASSES: Readonly<Record<Slot, readonly AttributeClass[]>> = {
  with: ["blow", "form", "hand", "footwork", "action", "direction", "edge"],
  to: ["target"],
  from: ["guard", "side"],
};
export const secondsAttribute = (seconds: number): string => `seconds: ${String(seconds)}`;
export const upToAttribute = (seconds: number): string => `up to: ${String(seconds)}`;

/** The one attribute that a note or a set holds. */
export function remembered(mark: Mark): string {
  const whats = new Set(
    mark.changes.flatMap(({ does }) =>
      does.is === "gains" || does.is === "becomes" ? [does.what === "partner" ? "fencer" : does.what] : [],
    ),
  );
  if (whats.size !== 1) throw new Unsupported(`"${mark.name}" must remember one kind of thing; say which.`);
  const [what] = whats;
  return what === "action" ? "kind" : (what as string);
}
