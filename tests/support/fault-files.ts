/** The goldens of tests/golden/faults: what was written wrongly, what is said about it, and what it became. */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { formatFaults, type Fault, type Outcome } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { readJsonLines, readSheet } from "../../rules/language/sheet.ts";
import type { RuleSet } from "../../rules/language/tree.ts";

const folder = fileURLToPath(new URL("../golden/faults/", import.meta.url));

export interface FaultFile {
  /** NAME.yaml, sheets/NAME.sheet or sheets/NAME.jsonl. */
  readonly name: string;
  readonly text: string;
  /** What must be said, NAME.faults.txt; "" where there is none yet. */
  readonly said: string;
  readonly saidFile: string;
  /** NAME.mended.yaml and so on: what a new user made of it from the messages alone; undefined where they did not lead to it. */
  readonly mended: string | undefined;
  readonly read: (text: string, file: string) => Outcome<unknown>;
}

const textOf = (file: string): string => readFileSync(folder + file, "utf8");

/** The rule set under which the sheets were written. */
export function ruleSetOfSheets(): RuleSet {
  const outcome = readRuleSet(textOf("sheets/under.yaml"), "under.yaml");
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return outcome.value;
}

function faultFile(name: string, extension: string, read: FaultFile["read"]): FaultFile {
  const stem = name.slice(0, -extension.length);
  const saidFile = folder + `${stem}.faults.txt`;
  const mended = `${stem}.mended${extension}`;
  return {
    name,
    text: textOf(name),
    said: existsSync(saidFile) ? readFileSync(saidFile, "utf8") : "",
    saidFile,
    mended: existsSync(folder + mended) ? textOf(mended) : undefined,
    read,
  };
}

const named = (under: string, extension: string): readonly string[] =>
  readdirSync(folder + under)
    .filter(
      (name) => name.endsWith(extension) && !name.endsWith(`.mended${extension}`) && name !== "under.yaml",
    )
    .sort()
    .map((name) => under + name);

export const faultyRuleSets = (): readonly FaultFile[] =>
  named("", ".yaml").map((name) => faultFile(name, ".yaml", readRuleSet));

export function faultySheets(): readonly FaultFile[] {
  const ruleSet = ruleSetOfSheets();
  return [
    ...named("sheets/", ".sheet").map((name) =>
      faultFile(name, ".sheet", (text, file) => readSheet(text, ruleSet, file)),
    ),
    ...named("sheets/", ".jsonl").map((name) =>
      faultFile(name, ".jsonl", (text, file) => readJsonLines(text, ruleSet, file)),
    ),
  ];
}

/** Texts and mended files whose faulty file is gone. */
export const strays = (): readonly string[] => {
  const known = new Set(
    [...faultyRuleSets(), ...faultySheets()].map(({ name }) => name.replace(/\.[a-z]+$/, "")),
  );
  return ["", "sheets/"].flatMap((under) =>
    readdirSync(folder + under)
      .filter((name) => /\.(?:faults\.txt|mended\.[a-z]+)$/.test(name))
      .map((name) => under + name)
      .filter((name) => !known.has(name.replace(/\.(?:faults\.txt|mended\.[a-z]+)$/, ""))),
  );
};

/** Every fault, or where there is none every warning. */
export const saidOf = (outcome: Outcome<unknown>): readonly Fault[] =>
  outcome.ok ? outcome.warnings : outcome.faults;
