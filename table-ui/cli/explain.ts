import { explain } from "../../rules/index.ts";
import { ruleSetOf } from "./say.ts";

const block = (title: string, lines: readonly string[]): string =>
  lines.length === 0 ? "" : `${title}\n${lines.map((line) => `  ${line}`).join("\n")}\n\n`;

/** `garland explain FILE`: the rule set read back in plain words. */
export function explainFile(file: string): void {
  const ruleSet = ruleSetOf(file);
  if (ruleSet === undefined) return;
  const told = explain(ruleSet);
  const text =
    `${ruleSet.name}${ruleSet.weapon === undefined ? "" : ` (${ruleSet.weapon})`}\n\n` +
    block("The bout", told.bout) +
    block("Touches", told.touches) +
    block(
      "What pays",
      told.rules.map((rule) => `${rule.name}: ${rule.sentence}`),
    ) +
    block("Who watches", told.watch) +
    block("Mind", told.warnings);
  process.stdout.write(`${text.trimEnd()}\n`);
}
