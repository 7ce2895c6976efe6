import { readRuleSet } from "../../rules/index.ts";
import { EXIT_FAULTS, readText, sayFaults, scorerOf } from "./say.ts";

/** `garland check FILE...`: every fault and warning of every file; exit 1 if a file has faults. */
export function check(files: readonly string[]): void {
  const texts = files.map((file) => [file, readText(file)] as const);
  for (const [file, text] of texts) {
    const outcome = readRuleSet(text, file);
    if (outcome.ok) {
      sayFaults(outcome.warnings);
      scorerOf(outcome.value, file);
      process.stdout.write(`${file}: "${outcome.value.name}" is in order.\n`);
    } else {
      sayFaults(outcome.faults);
      process.exitCode = EXIT_FAULTS;
    }
  }
}
