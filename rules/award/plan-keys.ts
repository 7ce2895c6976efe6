/** Which hits a rule set tells apart: the table's hit keys. */
import { laidOut, type Phrases } from "../language/explain-phrase.ts";
import { phrasesOfRule } from "../language/explain-facts.ts";
import { phrasesOfSet } from "../language/explain.ts";
import { capital } from "../language/explain-words.ts";
import type { Blow, Choice, Condition, Doing, Phrase, RuleSet } from "../language/tree.ts";
import { wordsFor, type Words } from "../language/words.ts";
import type { Act, BoutSheet } from "../record.ts";
import type { Scorer } from "./scorer.ts";
import { amountOf, outlook } from "./plan-probe.ts";

export interface HitClass {
  readonly id: string;
  readonly label: string;
  readonly targets: readonly string[];
  readonly worth: number;
  readonly attributes: Omit<Act, "by" | "end">;
}

/** Regions that every table knows. */
const REGIONS = ["head", "torso", "arm", "leg"] as const;
/** More hit keys than this for a side cannot be found in three seconds. */
const MOST_KEYS = 6;

type TargetChoice = Choice<{ readonly target: string }>;

const doings = (phrase: Phrase): readonly Doing[] =>
  phrase.steps.flatMap((step) => ("make" in step.doing ? [] : [step.doing]));

function conditionPhrases(all: readonly Condition[]): readonly Phrase[] {
  return all.flatMap((one) => (one.is === "phrase" ? [one.phrase] : []));
}

/** Every phrase of a rule set but the touches: rules, changes of marks, and the named phrases. */
function otherPhrases(set: RuleSet, phrases: Phrases): readonly Phrase[] {
  const changes = set.marks.flatMap((mark) =>
    mark.changes.flatMap((change) => (change.when.is === "every" ? [] : conditionPhrases(change.when.all))),
  );
  return [
    ...set.rules.flatMap((rule) => phrasesOfRule(rule, phrases)),
    ...changes.map((phrase) => laidOut(phrase, phrases)),
    ...set.phrases.map((one) => laidOut(one.phrase, phrases)),
  ];
}

const targetsOf = (phrases: readonly Phrase[]): readonly TargetChoice[] =>
  phrases.flatMap(doings).flatMap((doing) => doing.to ?? []);

/** The targets that a choice may mean: its own words, and the values of a pick it points at. */
function namesIn(choice: TargetChoice, set: RuleSet): readonly string[] {
  return choice.any.flatMap((one) => {
    if ("target" in one) return [one.target];
    if ("alike" in one) return [];
    const pick = set.picks.find((candidate) => candidate.name === one.ref);
    return (pick?.from ?? []).map((value) => value.target ?? value.text);
  });
}

/** "zornhau + head": a drawn blow tells its target apart too. */
const targetsInBlows = (set: RuleSet): readonly TargetChoice[] =>
  set.picks.flatMap((pick) =>
    pick.from.flatMap((value) =>
      value.blow === undefined || value.target === undefined ? [] : [{ any: [{ target: value.target }] }],
    ),
  );

/** A mark that remembers where a hit landed tells all targets apart. */
const remembersTargets = (set: RuleSet): boolean =>
  set.marks.some((mark) =>
    mark.changes.some(
      ({ does }) =>
        (does.is === "gains" || does.is === "becomes") && (does.what === "target" || does.what === "opening"),
    ),
  );

interface Universe {
  readonly targets: readonly string[];
  /** Words that nobody asks for by name stand last and may be called "elsewhere". */
  readonly mentioned: ReadonlySet<string>;
}

function universeOf(set: RuleSet, choices: readonly TargetChoice[], remembers: boolean): Universe {
  const words = wordsFor(set.weapon, set.words);
  const names = choices.flatMap((choice) => namesIn(choice, set));
  const picked = set.picks.flatMap((pick) => pick.from.flatMap((value) => value.target ?? []));
  const mentioned = new Set(
    [...names, ...picked].filter((name) => words.named(name, "target") !== undefined),
  );
  const openings = [...mentioned].filter((name) => words.named(name, "target")?.means?.opening !== undefined);
  // An opening and a region are two ways to say where; keys can carry only one of them.
  const onlyOpenings = openings.length > 0 && openings.length === mentioned.size;
  if (onlyOpenings) return { targets: openings, mentioned };
  // "limb" is a word for several regions, not a place of its own.
  const isGroup = (name: string): boolean =>
    REGIONS.some((region) => region !== name && regionsOf(words, name).includes(region));
  const regions = [...mentioned].filter((name) => !openings.includes(name) && !isGroup(name));
  return {
    targets: [...new Set([...REGIONS, ...regions])],
    mentioned: remembers ? new Set(REGIONS) : mentioned,
  };
}

interface Covers {
  (target: string, choice: TargetChoice): boolean;
}

/** Everything that a target word covers, regions and openings alike. */
function regionsOf(words: Words, target: string): readonly string[] {
  const means = words.named(target, "target")?.means;
  const covered = [...(means?.target ?? []), ...(means?.opening ?? [])];
  return covered.length === 0 ? [target] : covered;
}

/** Does a hit on this target satisfy the choice, as far as its words go? */
function coversOf(set: RuleSet): Covers {
  const words = wordsFor(set.weapon, set.words);
  const within = (target: string, wanted: string): boolean => {
    if (target === wanted) return true;
    const has = regionsOf(words, target);
    const asks = regionsOf(words, wanted);
    return has.every((region) => asks.includes(region));
  };
  return (target, choice) => {
    const inside = choice.any.some((one) => "target" in one && within(target, one.target));
    return choice.but ? !inside : inside;
  };
}

/** Equal for two targets exactly when these choices cannot tell them apart. */
function signature(target: string, choices: readonly TargetChoice[], set: RuleSet, covers: Covers): string {
  const bits = choices.map((choice) => {
    const refs = choice.any.some((one) => "ref" in one);
    const values = refs
      ? namesIn(choice, set).filter((name) => covers(target, { any: [{ target: name }] }))
      : [];
    return `${covers(target, choice) ? 1 : 0}${values.join("+")}`;
  });
  return bits.join("|");
}

/** A touch that one hit says: "I hit the head", "I hit with a thrust". `blow` is what it asks of the blow. */
function plainTouch(phrase: Phrase, phrases: Phrases): { readonly blows: readonly Blow[] } | undefined {
  const laid = laidOut(phrase, phrases);
  const [step] = laid.steps;
  if (laid.steps.length !== 1 || step === undefined || step.never || step.subject !== "I") return undefined;
  if ("make" in step.doing || laid.first) return undefined;
  const { kinds, with: withs, to, from, manners, result, begin, seconds, upTo } = step.doing;
  // What is compared with an earlier action needs that action too.
  if ((to ?? []).some(({ any }) => any.some((one) => "alike" in one))) return undefined;
  const plainManners = (manners ?? []).every((one) => one.manner === "cleanly" && one.not !== true);
  const anyLength = seconds === undefined && upTo === undefined;
  if (result !== "hit" || begin || !anyLength || !plainManners) return undefined;
  if ((kinds?.length ?? 0) > 0 || (from?.length ?? 0) > 0 || (withs?.length ?? 0) > 1) return undefined;
  const [choice] = withs ?? [];
  if (choice === undefined) return { blows: [] };
  const blows = choice.any.flatMap((one) => ("ref" in one || "alike" in one ? [] : [one]));
  return choice.but || blows.length !== choice.any.length ? undefined : { blows };
}

/** Places of the touches that the hit keys say by themselves; the others need a chip. */
export function keyedTouches(scorer: Scorer, blowsOnKeys: boolean): ReadonlySet<number> {
  const phrases = phrasesOfSet(scorer.ruleSet);
  const keyed = new Set<number>();
  scorer.ruleSet.touches.forEach((touch, index) => {
    const plain = plainTouch(touch.phrase, phrases);
    if (plain !== undefined && (plain.blows.length === 0 || blowsOnKeys)) keyed.add(index);
  });
  return keyed;
}

interface BlowAtom {
  /** "descending cut"; empty for any other blow. */
  readonly name: string;
  readonly attributes: Omit<Act, "by" | "end">;
}

const blowName = (blow: Blow): string =>
  [blow.direction, blow.edge, blow.blow ?? blow.form ?? blow.footwork ?? blow.hand].filter(Boolean).join(" ");

/** The word that narrows a blow most; its "not" says that it was not this blow. */
const tellingWord = (blow: Blow): string | undefined =>
  blow.blow ?? blow.direction ?? blow.edge ?? blow.hand ?? blow.footwork ?? blow.form;

/** The blows that touches tell apart, and any other blow; one empty atom where they ask for none. */
function blowAtoms(set: RuleSet, phrases: Phrases): readonly BlowAtom[] {
  const asked = new Map<string, Blow>();
  for (const touch of set.touches) {
    for (const blow of plainTouch(touch.phrase, phrases)?.blows ?? []) asked.set(blowName(blow), blow);
  }
  if (asked.size === 0) return [{ name: "", attributes: {} }];
  const atoms = [...asked].map(([name, blow]): BlowAtom => {
    const { kind: _kind, ...attributes } = blow;
    return { name, attributes };
  });
  const not = [...asked.values()].flatMap((blow) => tellingWord(blow) ?? []);
  return [...atoms, { name: "", attributes: { not } }];
}

const NO_SHEET: BoutSheet = [];

function worthOf(scorer: Scorer, attributes: Omit<Act, "by" | "end">): number {
  const line = {
    type: "exchange",
    no: 1,
    acts: [{ by: "red", ...attributes, end: "hit" }],
    open: false,
  } as const;
  return amountOf(outlook(scorer, NO_SHEET, line), "touch", "red", "points").most;
}

interface Cell {
  readonly target: string;
  /** What rules (not touches) make of the target. */
  readonly told: string;
  readonly blow: BlowAtom;
  readonly worth: number;
}

function labelOf(targets: readonly string[], blow: string, universe: Universe, everywhere: boolean): string {
  if (everywhere) return blow === "" ? "Hit" : capital(blow);
  const unasked = targets.length > 2 && targets.every((target) => !universe.mentioned.has(target));
  const where = unasked ? "elsewhere" : targets.join(", ");
  return capital(blow === "" ? where : `${where} ${blow}`);
}

function classOf(
  cells: readonly Cell[],
  universe: Universe,
  blows: readonly BlowAtom[],
): HitClass | undefined {
  const [first] = cells;
  if (first === undefined) return undefined;
  const targets = universe.targets.filter((target) => cells.some((cell) => cell.target === target));
  const used = blows.filter((blow) => cells.some((cell) => cell.blow === blow));
  const everywhere = targets.length === universe.targets.length;
  const anyBlow = used.length === blows.length;
  const name = anyBlow ? "" : used.map((blow) => blow.name || "other hit").join(", ");
  const [target] = targets;
  const attributes = {
    ...(anyBlow ? {} : (used[0]?.attributes ?? {})),
    ...(everywhere || target === undefined ? {} : { target }),
  };
  const label = labelOf(targets, name, universe, everywhere);
  return {
    id: label.toLowerCase().replace(/[^a-z]+/g, "-"),
    label,
    targets: everywhere ? [] : targets,
    worth: first.worth,
    attributes,
  };
}

function gather<K>(groups: Map<K, Cell[]>, key: K, cells: readonly Cell[]): void {
  const gathered = groups.get(key) ?? [];
  gathered.push(...cells);
  groups.set(key, gathered);
}

/** Groups cells that neither touches nor rules tell apart, as far as a group is a full block of targets and blows. */
function group(cells: readonly Cell[], universe: Universe, blows: readonly BlowAtom[]): readonly HitClass[] {
  const byTarget = new Map<string, Cell[]>();
  for (const target of universe.targets) {
    const own = cells.filter((cell) => cell.target === target);
    const key = `${own[0]?.told ?? ""} ${own.map((cell) => cell.worth).join("/")}`;
    gather(byTarget, key, own);
  }
  const blocks = [...byTarget.values()].flatMap((block) => {
    const byWorth = new Map<number, Cell[]>();
    for (const cell of block) gather(byWorth, cell.worth, [cell]);
    return [...byWorth.values()];
  });
  return mergeEverywhere(blocks).flatMap((block) => classOf(block, universe, blows) ?? []);
}

/** "Thrust" instead of "Head thrust" and "Torso thrust": blocks of the same blows, worth and rules become one. */
function mergeEverywhere(blocks: readonly (readonly Cell[])[]): readonly (readonly Cell[])[] {
  const merged = new Map<string, Cell[]>();
  for (const block of blocks) {
    const [first] = block;
    if (first === undefined) continue;
    const blows = [...new Set(block.map((cell) => cell.blow.name))].sort().join(",");
    const key = `${first.told} ${first.worth} ${blows}`;
    gather(merged, key, block);
  }
  return [...merged.values()];
}

/** The classes of hits, the dearest first, and whether the keys say the blow too. */
export function hitKeys(scorer: Scorer): {
  readonly classes: readonly HitClass[];
  readonly blowsOnKeys: boolean;
} {
  const set = scorer.ruleSet;
  const phrases = phrasesOfSet(set);
  const inRules = [...targetsOf(otherPhrases(set, phrases)), ...targetsInBlows(set)];
  const inTouches = targetsOf(set.touches.map((touch) => laidOut(touch.phrase, phrases)));
  const remembers = remembersTargets(set);
  const universe = universeOf(set, [...inTouches, ...inRules], remembers);
  const covers = coversOf(set);
  const told = (target: string): string =>
    remembers ? target : signature(target, [...inRules, ...chipTouchTargets(set, phrases)], set, covers);
  const classesWith = (blows: readonly BlowAtom[]): readonly HitClass[] => {
    const cells = universe.targets.flatMap((target) =>
      blows.map((blow): Cell => {
        const worth = worthOf(scorer, { ...blow.attributes, target });
        // Where another blow scores nothing, nobody has to say where it landed.
        const aside = worth === 0 && blow.attributes.not !== undefined;
        return { target, told: aside ? "" : told(target), blow, worth };
      }),
    );
    return [...group(cells, universe, blows)].sort((a, b) => b.worth - a.worth);
  };
  const atoms = blowAtoms(set, phrases);
  const full = withoutWorthlessOther(classesWith(atoms), atoms);
  if (full.length <= MOST_KEYS || atoms.length === 1) return { classes: full, blowsOnKeys: true };
  return { classes: classesWith([{ name: "", attributes: {} }]), blowsOnKeys: false };
}

/** Targets of touches that are said by chips still have to be told apart by the keys. */
function chipTouchTargets(set: RuleSet, phrases: Phrases): readonly TargetChoice[] {
  const rest = set.touches.filter((touch) => plainTouch(touch.phrase, phrases) === undefined);
  return targetsOf(rest.map((touch) => laidOut(touch.phrase, phrases)));
}

/** Where two blows or more have a price, a hit with a third one that scores nothing needs no key. */
function withoutWorthlessOther(
  classes: readonly HitClass[],
  atoms: readonly BlowAtom[],
): readonly HitClass[] {
  if (atoms.length < 3) return classes;
  return classes.filter((one) => one.worth > 0 || one.attributes.not === undefined);
}
