/**
 * Each action becomes a small integer once, on receipt: the code of which step predicates of the rule set it
 * satisfies, and who acts. What is not known of an action makes it a set of codes that are still possible.
 */
import type { Act, ExchangeLine } from "../record.ts";
import { msOf, UNKNOWN_TIME } from "./ages.ts";
import { type Attributes, propagate } from "./attributes.ts";
import type { Side } from "../vocabulary.ts";
import type { Predicates } from "./doing.ts";
import { type Store, truth, undecided } from "./formula.ts";
import { leftHandersIn } from "./hands.ts";
import type { Likes } from "./likes.ts";
import {
  type Known,
  knownOfAct,
  knownOfUnrecorded,
  type Openness,
  opennessOf,
  type Standing,
} from "./known.ts";

/** More ways than this for one action, or one exchange, and scoring falls back to bounds that are only sound. */
export const CAP = 256;

export const BY = ["red", "blue", "both"] as const;

/** Codes that an action may have; `only` is the one code where all is known, else -1. */
export interface CodeSet {
  readonly only: number;
  readonly codes: readonly number[];
  /** Too many to list. */
  readonly over: boolean;
}

export interface CodedExchange {
  /** One list of code sets for each way in which the unsure hits may have ended. */
  readonly ways: readonly CodedWay[];
  /** The codes that an unrecorded action may have; empty in a closed line. */
  readonly unrecorded: CodeSet;
  /** Seconds that each action lasted; -1 where nobody said. */
  readonly seconds: readonly number[];
  /** Milliseconds since the recorded action before each; UNKNOWN_TIME where nobody said. */
  readonly elapsed: readonly number[];
  /** For each action what was said of everything in which actions are compared; empty where nothing is. */
  readonly said: readonly Said[];
  readonly over: boolean;
}

/** A number for each thing that is compared, in the order of `Likes.compared`. */
export type Said = readonly number[];

export interface CodedWay {
  readonly acts: readonly CodeSet[];
  /** The code of each act where every one is known; read by the fast path. */
  readonly codes: Int32Array | undefined;
}

export class Coder {
  /** For each signature the truth of every predicate. */
  readonly signatures: Uint8Array[] = [];
  private readonly attributes: Attributes;
  private readonly predicates: Predicates;
  readonly likes: Likes;
  private readonly signatureIds = new Map<string, number>();
  private readonly sets = new Map<number, CodeSet>();
  private readonly unrecorded = new Map<string, CodeSet>();
  private readonly values = new Map<string, number>();
  private readonly trie = new Map<number, number>();

  constructor(attributes: Attributes, predicates: Predicates, likes: Likes) {
    this.attributes = attributes;
    this.predicates = predicates;
    this.likes = likes;
  }

  /** A code is signature * 3 + who acts (in the order of BY). */
  act(act: Act, standing: Standing): CodeSet {
    const key = this.key(act, standing);
    let set = this.sets.get(key);
    if (!set) {
      set = this.codeSet([knownOfAct(this.attributes, act, standing)], [BY.indexOf(act.by)]);
      this.sets.set(key, set);
    }
    return set;
  }

  /** Whether some step compares an action with an earlier one. */
  get compares(): boolean {
    return this.likes.compared.length > 0;
  }

  said(act: Act, standing: Standing): Said {
    const { compared } = this.likes;
    const known = knownOfAct(this.attributes, act, standing);
    const store = propagate(this.attributes, known.store, known.written) ?? known.store;
    return compared.map(({ what }, i) => this.likes.numberOf(i, store, wordSaid(act, what)));
  }

  missing(open: Openness, leftHanded: readonly Side[]): CodeSet {
    if (open === false) return NO_CODES;
    const key = keyOfOpenness(open) + leftHanded.join();
    let set = this.unrecorded.get(key);
    if (!set) {
      const sets = BY.map((by, who) =>
        this.codeSet(knownOfUnrecorded(this.attributes, open, by, leftHanded), [who]),
      );
      set = { only: -1, codes: sets.flatMap(({ codes }) => codes), over: sets.some(({ over }) => over) };
      this.unrecorded.set(key, set);
    }
    return set;
  }

  private codeSet(known: readonly Known[], by: readonly number[]): CodeSet {
    const found = new Set<number>();
    const over = known.some((one) => !this.split(one.store, one.written, 0, found));
    const codes = [...found].flatMap((signature) => by.map((who) => signature * 3 + who));
    return { codes, over, only: codes.length === 1 && !over ? (codes[0] as number) : -1 };
  }

  /** Splits what is known until every predicate is decided; false where there are too many ways. */
  private split(start: Store, written: ReadonlySet<number>, from: number, found: Set<number>): boolean {
    const store = propagate(this.attributes, start, written);
    if (!store) return true;
    const { formulas } = this.predicates;
    for (let i = from; i < formulas.length; i++) {
      const formula = formulas[i];
      const literal = formula && undecided(formula, store);
      if (!literal) continue;
      for (const set of [literal.set, ~literal.set]) {
        const half = [...store];
        half[literal.attribute] = (store[literal.attribute] as bigint) & set;
        if (!this.split(half, written, i, found)) return false;
      }
      return true;
    }
    found.add(this.signature(store));
    return found.size <= CAP;
  }

  private signature(store: Store): number {
    const truths = Uint8Array.from(this.predicates.formulas, (formula) =>
      truth(formula, store) === true ? 1 : 0,
    );
    const key = String.fromCharCode(...truths);
    const known = this.signatureIds.get(key);
    if (known !== undefined) return known;
    this.signatureIds.set(key, this.signatures.length);
    return this.signatures.push(truths) - 1;
  }

  /** A number for everything that the code depends on; ids and sources do not count. */
  private key(act: Act, { open, afterOwnParry, end, clean, leftHanded }: Standing): number {
    let key = this.step(0, keyOfOpenness(open), 1);
    for (const side of leftHanded) key = this.step(key, side, 20);
    key = this.step(key, end, afterOwnParry ? (clean ? 2 : 3) : clean ? 4 : 5);
    key = this.step(key, act.by, 6);
    if (act.kind !== undefined) key = this.step(key, act.kind, 7);
    if (act.form !== undefined) key = this.step(key, act.form, 8);
    if (act.blow !== undefined) key = this.step(key, act.blow, 9);
    if (act.direction !== undefined) key = this.step(key, act.direction, 10);
    if (act.edge !== undefined) key = this.step(key, act.edge, 11);
    if (act.hand !== undefined) key = this.step(key, act.hand, 12);
    if (act.footwork !== undefined) key = this.step(key, act.footwork, 13);
    if (act.target !== undefined) key = this.step(key, act.target, 14);
    if (act.end !== undefined) key = this.step(key, "", 15);
    if (act.for !== undefined) key = this.step(key, String(act.for), 16);
    if (act.from !== undefined) for (const word of act.from) key = this.step(key, word, 17);
    if (act.manners !== undefined) for (const word of act.manners) key = this.step(key, word, 18);
    if (act.not !== undefined) for (const word of act.not) key = this.step(key, word, 19);
    return key;
  }

  private step(from: number, value: string, slot: number): number {
    let id = this.values.get(value);
    if (id === undefined) this.values.set(value, (id = this.values.size));
    const edge = (from * 32 + slot) * 65_536 + id;
    let to = this.trie.get(edge);
    if (to === undefined) this.trie.set(edge, (to = this.trie.size + 1));
    return to;
  }
}

const NEVER = (): boolean => false;

/** The one word that was written for it; a side or a guard may have been written with another. */
function wordSaid(act: Act, what: Likes["compared"][number]["what"]): string | undefined {
  if (what === "opening") return act.target;
  if (what !== "side" && what !== "guard") return act[what];
  return act.from?.length === 1 ? act.from[0] : undefined;
}

const keyOfOpenness = (open: Openness): string =>
  open === true ? "open" : open === false ? "closed" : JSON.stringify(open);

export const NO_CODES: CodeSet = { only: -1, codes: [], over: false };

/** At most this many unsure hits in one exchange are told apart. */
const UNSURE = 5;

export function codeExchange(
  coder: Coder,
  line: ExchangeLine,
  isParry: (kind: string) => boolean,
): CodedExchange {
  const { acts } = line;
  const unsure: number[] = [];
  acts.forEach((act, i) => {
    if (act.end === "perhaps") unsure.push(i);
  });
  const unrecorded = coder.missing(opennessOf(line), leftHandersIn(line));
  const over = unsure.length > UNSURE || unrecorded.over;
  const ways: CodedWay[] = [];
  for (let landed = 0; landed < (over ? 1 : 1 << unsure.length); landed++)
    ways.push(codeWay(coder, line, isParry, (i) => ((landed >> unsure.indexOf(i)) & 1) === 1));
  return {
    ways,
    unrecorded,
    seconds: acts.map((act) => act.for ?? -1),
    elapsed: acts.map(({ after }, i) => (after === undefined || i === 0 ? UNKNOWN_TIME : msOf(after))),
    said: coder.compares
      ? standingsOf(line, isParry, NEVER).map((standing, i) => coder.said(acts[i] as Act, standing))
      : [],
    over: over || ways.some((way) => way.acts.some((set) => set.over)),
  };
}

const endOf = (act: Act, landed: boolean): Standing["end"] =>
  act.end === "perhaps"
    ? landed
      ? "hit"
      : "no hit"
    : (act.end ?? (act.kind === "afterblow" || act.kind === "land an afterblow" ? "hit" : "no hit"));

/** How each action stands in its line, if the unsure hits ended as `landed` says. */
export function standingsOf(
  line: ExchangeLine,
  isParry: (kind: string) => boolean,
  landed: (i: number) => boolean,
): readonly Standing[] {
  const { acts } = line;
  const open = opennessOf(line);
  const leftHanded = leftHandersIn(line);
  let redHits = false;
  let blueHits = false;
  const ends = acts.map((act, i) => {
    const end = endOf(act, landed(i));
    if (end === "hit" && act.by !== "blue") redHits = true;
    if (end === "hit" && act.by !== "red") blueHits = true;
    return end;
  });
  return acts.map((act, i) => {
    const before = acts[i - 1];
    const end = ends[i] as Standing["end"];
    return {
      open,
      afterOwnParry: before?.kind !== undefined && before.by === act.by && isParry(before.kind),
      end,
      clean: end === "hit" && !(redHits && blueHits),
      leftHanded,
    };
  });
}

function codeWay(
  coder: Coder,
  line: ExchangeLine,
  isParry: (kind: string) => boolean,
  landed: (i: number) => boolean,
): CodedWay {
  const standings = standingsOf(line, isParry, landed);
  const sets = line.acts.map((act, i) => coder.act(act, standings[i] as Standing));
  const known = sets.every(({ only }) => only >= 0);
  return { acts: sets, codes: known ? Int32Array.from(sets, ({ only }) => only) : undefined };
}
