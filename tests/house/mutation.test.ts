import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { parse, parseAllDocuments, stringify } from "yaml";
import type { Scorer } from "../../rules/award/compile.ts";
import type { Program } from "../../rules/award/program.ts";
import { scoreBout } from "../../rules/award/score.ts";
import { END_EXAMPLES, PASS_EXAMPLES, type PassExample } from "../support/pass-examples.ts";
import { FURTHER_SETS, RULE_SETS, ruleSetOf } from "../support/random-bouts.ts";
import { result, scorerOf, sheetOf } from "../support/score.ts";
import { compile } from "../../rules/award/compile.ts";
import { files, root, text } from "../support/tree.ts";

/** Taking any one step of the scoring away must be seen by a small test that names it. */

const changed = (scorer: Scorer, program: Partial<Program>): Scorer => ({
  ...scorer,
  program: { ...scorer.program, ...program },
});
const told = (scorer: Scorer, bout: string): unknown => {
  const tally = scoreBout(scorer, sheetOf(scorer, bout));
  return [result(tally), tally.ended, tally.warned, tally.retired, tally.marks];
};

const named = (examples: readonly PassExample[]): readonly (readonly [string, string, PassExample])[] =>
  examples.map((one) => [one.pass, one.says, one]);

/** Every rule set that the tests score: the cases, the ready sets, those of the oracle. */
function everyScorer(): readonly Scorer[] {
  const cases = parseAllDocuments(text("tests/golden/cases.yaml")).map((document) => {
    const { sheets: _, ...ruleSet } = document.toJS() as Record<string, unknown>;
    return ruleSetOf(stringify(ruleSet));
  });
  const ready = files("rules/sets/*.yaml").map((file) => ruleSetOf(text(file)));
  return [...cases, ...ready, ...RULE_SETS, ...FURTHER_SETS].map((ruleSet) => compile(ruleSet));
}

/** Shown with their own tests in passes.test.ts, because the tally's bonus does not tell them. */
const SHOWN_APART = ["warn", "retire"];

describe("each pass, taken out, changes what a bout gives", () => {
  test.each(named(END_EXAMPLES))("at the end of the bout, %s: %s", (pass, _says, { rules, bout, gives }) => {
    const scorer = scorerOf(rules);
    expect(result(scoreBout(scorer, sheetOf(scorer, bout)))).toBe(gives);
    const endPasses = scorer.program.endPasses.filter(({ name }) => name !== pass);
    expect(endPasses.length, `${pass} is one of the passes at the end`).toBe(
      scorer.program.endPasses.length - 1,
    );
    expect(told(changed(scorer, { endPasses }), bout), `without ${pass}`).not.toEqual(told(scorer, bout));
  });

  test("no pass of any rule set is without its example", () => {
    const scorers = everyScorer();
    const used = (of: (program: Program) => Program["passes"]): ReadonlySet<string> =>
      new Set(scorers.flatMap(({ program }) => of(program).map(({ name }) => name)));
    const shown = (examples: readonly PassExample[]): readonly string[] =>
      examples.map(({ pass }) => pass).concat(SHOWN_APART);
    expect(
      [...used(({ passes }) => passes)].sort().filter((name) => !shown(PASS_EXAMPLES).includes(name)),
    ).toEqual([]);
    const end = shown(END_EXAMPLES).concat("end the bout");
    expect([...used(({ endPasses }) => endPasses)].sort().filter((name) => !end.includes(name))).toEqual([]);
    expect(used(({ passes }) => passes).size).toBeGreaterThan(10);
  });

  test("two passes of each example the other way round, or one twice, are seen for every pass that is not alone", () => {
    const blind = PASS_EXAMPLES.filter(({ rules, bout }) => {
      const scorer = scorerOf(rules);
      const { passes } = scorer.program;
      if (passes.length < 2) return false;
      const reversed = changed(scorer, { passes: [...passes].reverse() });
      const none = changed(scorer, { passes: [] });
      const before = JSON.stringify(told(scorer, bout));
      return [reversed, none].every((one) => JSON.stringify(told(one, bout)) === before);
    });
    expect(blind.map(({ says }) => says)).toEqual([]);
  });

  const MARKED = `marks: {n: {is: a count for each fencer, changes: [up 1 when I parry, up 2 at the end of the bout]}}
touches: {I hit: 1}`;

  test("marks: without their changes nothing is remembered", () => {
    const scorer = scorerOf(MARKED);
    expect(scorer.program.marks).toHaveLength(1);
    expect(told(changed(scorer, { marks: [] }), "1 R parry .\nend")).not.toEqual(
      told(scorer, "1 R parry .\nend"),
    );
  });

  test("what is held: without its release at the end it is never paid", () => {
    const scorer = scorerOf(`touches: {I hit: 1}
rules:
  - {name: Feint, when: I feint, pays: 2 bonus to me}
  - {name: Keep, when: I withdraw, does: hold my bonus for one exchange}`);
    const { holding } = scorer.program;
    if (holding === undefined) throw new Error("nothing is held");
    const bout = "1 R feint, R withdraw .\nend";
    const never = changed(scorer, { holding: { ...holding, release: () => undefined } });
    expect(told(never, bout)).not.toEqual(told(scorer, bout));
  });
});

interface Fault {
  readonly pass: string;
  readonly breaks: string;
  readonly file: string;
  readonly find: string;
  readonly put: string;
}

const folder = join(root, "tests", "mutation", "faults");
const FAULTS = readdirSync(folder)
  .filter((name) => name.endsWith(".yaml"))
  .flatMap((name) => parse(readFileSync(join(folder, name), "utf8")) as Fault[]);

describe("the planted faults (npm run test:mutation)", () => {
  test("each still has its place in the code, and changes it", () => {
    const lost = FAULTS.filter(({ file, find }) => text(`rules/${file}`).split(find).length !== 2);
    expect(lost.map(({ file, breaks, find }) => `${file}: ${breaks}: ${find}`)).toEqual([]);
    expect(FAULTS.filter(({ find, put }) => find === put)).toEqual([]);
    expect(FAULTS.length).toBeGreaterThan(200);
  });

  /** Types and messages, in which there is nothing to break; and the press plan, which scores nothing. */
  const NOTHING_TO_BREAK = /^(?:part|refusal|tally|candidate|entry|grounds|scorer|plan|plan-.*)\.ts$/u;

  test("every file of the scoring has one", () => {
    const scoring = files("rules/award/*.ts").map((file) => file.split("/").at(-1) ?? "");
    const covered = new Set(FAULTS.map(({ file }) => file.split("/").at(-1)));
    expect(scoring.filter((file) => !covered.has(file) && !NOTHING_TO_BREAK.test(file))).toEqual([]);
  });

  test.runIf(process.env["LONG"] === "1")("each is caught", { timeout: 3_600_000 }, () => {
    const { status, stdout } = spawnSync(process.execPath, [join(root, "tests", "mutation", "run.mjs")], {
      encoding: "utf8",
      stdio: ["ignore", "pipe", "inherit"],
    });
    expect(stdout.split("\n").filter((line) => line.startsWith("MISS"))).toEqual([]);
    expect(status).toBe(0);
  });
});
