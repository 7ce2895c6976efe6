import { ENGLISH, explain, GERMAN, printRuleSet, type Wording } from "../../rules/index.ts";
import { CannotDo, ruleSetOf } from "./say.ts";

/** The tongues in which a rule set can be read. */
const TONGUES: Readonly<Record<string, Wording>> = { english: ENGLISH, german: GERMAN };

const block = (title: string, lines: readonly string[]): string =>
  lines.length === 0 ? "" : `${title}\n${lines.map((line) => `  ${line}`).join("\n")}\n\n`;

/** `garland explain FILE`: the rule set read back in plain words; with `--in`, its own sentences in that tongue. */
export function explainFile(file: string, options: { readonly in?: string }): void {
  const tongue = options.in === undefined ? undefined : TONGUES[options.in.toLowerCase()];
  if (options.in !== undefined && tongue === undefined)
    throw new CannotDo(`"${options.in}" is no tongue I know: write ${Object.keys(TONGUES).join(" or ")}.`);
  const ruleSet = ruleSetOf(file);
  if (ruleSet === undefined) return;
  if (tongue !== undefined) {
    process.stdout.write(printRuleSet(ruleSet, tongue));
    return;
  }
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
