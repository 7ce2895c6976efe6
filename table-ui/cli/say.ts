import { readFileSync } from "node:fs";
import { basename } from "node:path";
import {
  compile,
  formatFaults,
  readRuleSet,
  type Fault,
  type RuleSet,
  type Scorer,
} from "../../rules/index.ts";

/** Faults were found in what was read. */
export const EXIT_FAULTS = 1;
/** The command could not be carried out at all. */
export const EXIT_UNUSABLE = 2;

/** One clear sentence for the person at the keyboard; the command ends with EXIT_UNUSABLE. */
export class CannotDo extends Error {}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: "there is no such file",
  EACCES: "it may not be read",
  EISDIR: "it is a folder, not a file",
};

const STDIN = 0;

/** The text of a file, "-" for what is piped in. Throws CannotDo with one sentence. */
export function readText(file: string): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(readFileSync(file === "-" ? STDIN : file));
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : "";
    throw new CannotDo(`${file}: ${REASONS[code] ?? (code || "it is not a text file in UTF-8")}.`);
  }
}

/** Puts faults or warnings on stderr, in the order of the file. */
export function sayFaults(faults: readonly Fault[]): void {
  if (faults.length > 0) process.stderr.write(`${formatFaults(faults)}\n`);
}

/** The checked rule set of a file; undefined after its faults have been said. */
export function ruleSetOf(file: string): RuleSet | undefined {
  const outcome = readRuleSet(readText(file), file);
  if (outcome.ok) return outcome.value;
  sayFaults(outcome.faults);
  process.exitCode = EXIT_FAULTS;
  return undefined;
}

/** The scorer of a rule set; says plainly what cannot be scored. */
export function scorerOf(ruleSet: RuleSet, file: string): Scorer {
  try {
    return compile(ruleSet);
  } catch (error) {
    throw new CannotDo(`${basename(file)}: ${error instanceof Error ? error.message : String(error)}`);
  }
}
