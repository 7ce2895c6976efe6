/** Rule sets as the ledger keeps them, read and compiled once each. */
import {
  compile,
  explain,
  hashRuleSet,
  printRuleSet,
  readRuleSet,
  unsupported,
  type Fault,
  type RuleSet,
  type Scorer,
} from "../../rules/index.ts";
import type { Ledger } from "../../engine/ledger/open.ts";
import type { RuleSetOnFile } from "../wire/hall.ts";

export type Read =
  | { readonly ok: true; readonly file: RuleSetOnFile; readonly warnings: readonly Fault[] }
  | { readonly ok: false; readonly faults: readonly Fault[] };

export interface Shelf {
  get(hash: string): RuleSetOnFile | undefined;
  scorers(hash: string): Scorer | undefined;
  /** Reads a text without keeping it. */
  read(text: string): Read;
  /** Stores it under its hash, for good; the same again changes nothing. */
  keep(file: RuleSetOnFile): Promise<void>;
  /** Reads what another process has stored since. */
  reload(): Promise<void>;
  /** Texts in the ledger that this version cannot read, by hash: their bouts cannot be shown. */
  readonly unread: readonly string[];
}

/** What the language says and scoring cannot do yet, as faults: a bout is never fenced under half a rule set. */
const notScored = (ruleSet: RuleSet, text: string): readonly Fault[] =>
  unsupported(ruleSet).map((message) => ({
    code: "not-scored",
    severity: "fault",
    file: "rule set",
    line: 1,
    column: 1,
    message,
    source: text.split("\n")[0] ?? "",
  }));

function onFile(ruleSet: RuleSet): RuleSetOnFile {
  const hash = hashRuleSet(ruleSet);
  return {
    hash,
    text: printRuleSet(ruleSet),
    ruleSet,
    scorer: compile(ruleSet),
    explained: explain(ruleSet),
  };
}

export async function openShelf(ledger: Ledger): Promise<Shelf> {
  const files = new Map<string, RuleSetOnFile>();
  const unread: string[] = [];
  async function reload(): Promise<void> {
    for (const { hash, text } of await ledger.ruleSets()) {
      if (files.has(hash) || unread.includes(hash)) continue;
      const outcome = readRuleSet(text);
      // Kept under the hash that bouts name, even where a newer lexicon would give the text another.
      if (outcome.ok && unsupported(outcome.value).length === 0)
        files.set(hash, { ...onFile(outcome.value), hash, text });
      else unread.push(hash);
    }
  }
  await reload();
  return {
    get: (hash) => files.get(hash),
    scorers: (hash) => files.get(hash)?.scorer,
    read(text) {
      const outcome = readRuleSet(text, "rule set");
      if (!outcome.ok) return { ok: false, faults: outcome.faults };
      const faults = notScored(outcome.value, text);
      if (faults.length > 0) return { ok: false, faults };
      return { ok: true, file: onFile(outcome.value), warnings: outcome.warnings };
    },
    async keep(file) {
      if (files.has(file.hash)) return;
      await ledger.putRuleSet({ hash: file.hash, text: file.text });
      files.set(file.hash, file);
    },
    reload,
    unread,
  };
}
