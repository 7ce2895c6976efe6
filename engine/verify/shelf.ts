/** Stored rule sets, read anew: which of them still say what their bouts were fenced under. */
import { compile, hashRuleSet, readRuleSet, unsupported } from "../../rules/index.ts";
import type { RuleSet, Scorer } from "../../rules/index.ts";
import type { Scorers } from "../bout/scoring.ts";
import type { Difference } from "./difference.ts";
import { CURES } from "./difference.ts";

/** A rule set's text as a ledger keeps it. */
export interface StoredText {
  readonly hash: string;
  readonly text: string;
}

export interface CheckedShelf {
  readonly differences: readonly Difference[];
  /**
   * Texts that give another hash than they are stored under, by hash: what to say of each. Words may mean more in this
   * version than in the one that stored it; whether its bouts come out the same tells.
   */
  readonly otherHash: ReadonlyMap<string, string>;
  /** Whether the ledger has a text for this hash, readable or not. */
  readonly has: (hash: string) => boolean;
  readonly scorers: Scorers;
  readonly ruleSets: (hash: string) => RuleSet | undefined;
}

const SHORT = 12;

/** A hash as it is said to people: its first digits. */
export const short = (hash: string): string => hash.slice(0, SHORT);

/** The scorer of one text; or why there is none, or why it is not what was stored under this hash. */
function readOne({ hash, text }: StoredText): {
  readonly scorer?: Scorer;
  readonly difference?: Difference;
  readonly otherHash?: string;
} {
  const where = `rule set ${short(hash)}`;
  const outcome = readRuleSet(text);
  if (!outcome.ok) {
    const [first] = outcome.faults;
    const why = first === undefined ? "" : ` Line ${first.line}: ${first.message}`;
    return {
      difference: {
        where,
        sentence: `Its text cannot be read any more.${why}`,
        cure: CURES.goBackOrKeep,
      },
    };
  }
  const unscored = unsupported(outcome.value);
  if (unscored.length > 0) {
    const sentence = `Its text is read and cannot be scored here: ${unscored.join(" ")}`;
    return { difference: { where, sentence, cure: CURES.otherVersion } };
  }
  const scorer = compile(outcome.value);
  const now = hashRuleSet(outcome.value);
  if (now === hash) return { scorer };
  const otherHash =
    `The text of "${outcome.value.name}" gives the hash ${short(now)} and not ${short(hash)}: its words mean ` +
    `something else in this version of Garland, or it was changed`;
  return { scorer, otherHash };
}

/**
 * Reads every stored text once. A text whose hash differs still scores its bouts, so that they can be compared.
 * `undefined`: they cannot be read at all; then nothing is said of those that bouts name.
 */
export function checkShelf(stored: readonly StoredText[] | undefined): CheckedShelf {
  const found = new Map<string, Scorer>();
  const differences: Difference[] = [];
  const otherHash = new Map<string, string>();
  for (const each of stored ?? []) {
    const { scorer, difference, otherHash: other } = readOne(each);
    if (other !== undefined) otherHash.set(each.hash, other);
    if (scorer !== undefined) found.set(each.hash, scorer);
    if (difference !== undefined) differences.push(difference);
  }
  const hashes = new Set(stored?.map(({ hash }) => hash));
  return {
    differences,
    otherHash,
    has: (hash) => stored === undefined || hashes.has(hash),
    scorers: (hash) => found.get(hash),
    ruleSets: (hash) => found.get(hash)?.ruleSet,
  };
}
