/** What one step asks of one action: a fixed formula, and choices that depend on picks and on marks that remember. */
import type { Blow, Choice, Doing, Mark, Owner, Place, Ref, RuleSet } from "../language/tree.ts";
import { type AttributeClass, type Attributes } from "./attributes.ts";
import { and, FALSE, type Formula, not, or } from "./formula.ts";
import { Unsupported } from "./refusal.ts";

/** Every distinct formula that steps ask; an action's signature is the truth of each. */
export class Predicates {
  readonly formulas: Formula[] = [];
  private readonly ids = new Map<string, number>();

  add(formula: Formula): number {
    const key = keyOf(formula);
    const known = this.ids.get(key);
    if (known !== undefined) return known;
    this.ids.set(key, this.formulas.length);
    return this.formulas.push(formula) - 1;
  }
}

const keyOf = (formula: Formula): string =>
  formula.op === "in"
    ? `${String(formula.attribute)}:${formula.set.toString(36)}`
    : formula.op === "not"
      ? `!${keyOf(formula.of)}`
      : `${formula.op}(${formula.of.map(keyOf).join(" ")})`;

/** One value from outside that a step names: which value the action has is told by one predicate for each. */
export interface RefTest {
  readonly owner: Owner;
  readonly name: string;
  readonly source: "pick" | "note" | "set";
  /** The predicate for each value, in the order of the pick's values or of the mark's domain. */
  readonly predicates: readonly number[];
}

export interface DynamicChoice {
  readonly but: boolean;
  /** The words beside the refs; -1 where there are none. */
  readonly words: number;
  readonly refs: readonly RefTest[];
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
  private readonly ruleSet: RuleSet;

  constructor(ruleSet: RuleSet, attributes: Attributes, predicates: Predicates) {
    this.ruleSet = ruleSet;
    this.attributes = attributes;
    this.predicates = predicates;
  }

  test(doing: Doing): StepTest {
    const a = this.attributes;
    const parts: Formula[] = [];
    const choices: DynamicChoice[] = [];
    if (doing.kinds && doing.kinds.length > 0)
      parts.push(or(doing.kinds.map((kind) => a.word(kind, "action"))));
    if (doing.offence === true) parts.push(a.offence());
    for (const choice of doing.with ?? []) this.choice("with", choice, (b) => this.blow(b), parts, choices);
    for (const choice of doing.to ?? [])
      this.choice("to", choice, ({ target }) => a.word(target, "target"), parts, choices);
    for (const choice of doing.from ?? []) this.choice("from", choice, (p) => this.place(p), parts, choices);
    for (const { manner, not: isNot } of doing.manners ?? [])
      parts.push(isNot === true ? not(a.manner(manner)) : a.manner(manner));
    if (doing.seconds !== undefined) parts.push(a.is(secondsAttribute(doing.seconds), ["yes"]));
    if (doing.result !== undefined) parts.push(a.is("end", [doing.result]));
    return { predicate: this.predicates.add(and(parts)), begin: doing.begin === true, choices };
  }

  private choice<T extends object>(
    slot: Slot,
    choice: Choice<T>,
    formula: (item: T) => Formula,
    parts: Formula[],
    choices: DynamicChoice[],
  ): void {
    const words: Formula[] = [];
    const refs: RefTest[] = [];
    for (const item of choice.any) {
      if ("ref" in item) refs.push(this.ref(slot, item));
      else words.push(formula(item));
    }
    if (refs.length === 0) parts.push(choice.but === true ? not(or(words)) : or(words));
    else
      choices.push({
        but: choice.but === true,
        words: words.length === 0 ? -1 : this.predicates.add(or(words)),
        refs,
      });
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

  private ref(slot: Slot, ref: Ref): RefTest {
    const { owner, ref: name } = ref;
    const pick = this.ruleSet.picks.find((one) => one.name === name);
    if (pick) {
      const predicates = pick.from.map((value) => this.predicates.add(this.pickValue(slot, value)));
      return { owner, name, source: "pick", predicates };
    }
    const mark = this.ruleSet.marks.find((one) => one.name === name);
    if (!mark || (mark.is !== "note" && mark.is !== "set"))
      throw new Unsupported(`"${name}" is no pick, note or set, so no action can be compared with it.`);
    return { owner, name, source: mark.is, predicates: this.domain(mark).predicates };
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

  /** All values that a remembering mark can hold, one predicate each. */
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
    const wordClass = DOMAIN_CLASSES[attribute];
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
const DOMAIN_CLASSES: Readonly<Record<string, AttributeClass | undefined>> = {
  blow: "blow",
  form: "form",
  target: "target",
  kind: "action",
  side: "side",
  guard: "guard",
  hand: "hand",
};

/** The word itself that was recorded: a mark that remembers "head" has not remembered "face", which "head" may be. */
export const saidAttribute = (what: string): string => `said: ${what}`;

export const secondsAttribute = (seconds: number): string => `seconds: ${String(seconds)}`;

/** The one attribute that a note or a set holds. */
export function remembered(mark: Mark): string {
  const whats = new Set(
    mark.changes.flatMap(({ does }) => (does.is === "gains" || does.is === "becomes" ? [does.what] : [])),
  );
  if (whats.size !== 1) throw new Unsupported(`"${mark.name}" must remember one kind of thing; say which.`);
  const [what] = whats;
  return what === "action" ? "kind" : (what as string);
}
