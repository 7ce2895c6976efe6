import { readJsonLines, readSheet, scoreBout, type RuleSet, type Tally } from "../../rules/index.ts";
import { EXIT_FAULTS, readText, ruleSetOf, sayFaults, scorerOf } from "./say.ts";

/** `garland score RULESET BOUT [--json]`. JSON Lines are told from a sheet by their first character. */
export function score(ruleSetFile: string, boutFile: string, options: { readonly json?: boolean }): void {
  const ruleSet = ruleSetOf(ruleSetFile);
  const boutText = readText(boutFile);
  if (ruleSet === undefined) return;
  const scorer = scorerOf(ruleSet, ruleSetFile);
  const read = boutText.trimStart().startsWith("{") ? readJsonLines : readSheet;
  const sheet = read(boutText, ruleSet, boutFile);
  if (!sheet.ok) {
    sayFaults(sheet.faults);
    process.exitCode = EXIT_FAULTS;
    return;
  }
  sayFaults(sheet.warnings);
  const tally = scoreBout(scorer, sheet.value);
  process.stdout.write(options.json === true ? `${JSON.stringify(asJson(tally))}\n` : told(tally, ruleSet));
}

function asJson(tally: Tally): object {
  const { points, bonus, open, ended, warned, marks, awards } = tally;
  return {
    points,
    bonus,
    open,
    questions: tally.questions.map((question) => question.text),
    ended,
    warned,
    marks,
    awards,
  };
}

function told(tally: Tally, ruleSet: RuleSet): string {
  const lines: string[] = [ruleSet.name, ""];
  for (const exchange of tally.exchanges) {
    const after = exchange.afterTheEnd ? " (after the end)" : "";
    const said = exchange.awards.map((award) => award.sentence);
    lines.push(`${exchange.no}${after}  ${said.length === 0 ? "nothing" : said.join("\n   ")}`);
  }
  const atEnd = tally.awards.filter((award) => award.exchange === 0);
  for (const award of atEnd) lines.push(`end  ${award.sentence}`);
  lines.push("", `Points  Red ${tally.points.red}, Blue ${tally.points.blue}`);
  lines.push(`Bonus   Red ${tally.bonus.red}, Blue ${tally.bonus.blue}`);
  if (tally.warned.red + tally.warned.blue > 0)
    lines.push(`Warned  Red ${tally.warned.red}, Blue ${tally.warned.blue}`);
  for (const question of tally.questions) lines.push(`Open    ${question.text}`);
  if (tally.ended !== null) lines.push(`Ended   ${tally.ended}`);
  return `${lines.join("\n")}\n`;
}
