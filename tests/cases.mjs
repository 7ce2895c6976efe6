/**
 * `npm run cases`: scores the numbered cases of the rule language and says, for each, how many of its sheets give what
 * they must. `-- 7` tells case 7 with its sheets, tallies and every award's sentence. Exit 1 where one is wrong.
 */
import { mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { needBuild, needNode, needPackages, refuse, root } from "../table-ui/cli/setup.mjs";

needNode();
needPackages();
needBuild();

/** One module of the tests in JavaScript, beside the built rules; their types are for `npm run check`. */
function built(module) {
  const { outputText } = ts.transpileModule(
    readFileSync(join(root, "tests", "support", `${module}.ts`), "utf8"),
    {
      compilerOptions: {
        target: ts.ScriptTarget.ES2023,
        module: ts.ModuleKind.ESNext,
        verbatimModuleSyntax: true,
        rewriteRelativeImportExtensions: true,
      },
    },
  );
  const into = join(root, ".build", "cases", "support");
  mkdirSync(into, { recursive: true });
  writeFileSync(join(into, `${module}.js`), outputText);
  return pathToFileURL(join(into, `${module}.js`)).href;
}
const { default: ts } = await import("typescript");
const { casesOf, isRight, scored, told } = await import(built("gives"));

const folder = join(root, "tests", "golden");
const cases = readdirSync(folder)
  .filter((name) => /^cases.*\.yaml$/.test(name))
  .sort()
  .flatMap((name) => casesOf(readFileSync(join(folder, name), "utf8")));

/** "7" of "Case 7", "Further 7" of "Further 7 a joker once a bout". */
const numberOf = (name) => name.replace(/^Case /, "").replace(/^(Further \d+) .*$/, "$1");
const asked = process.argv.slice(2).map((word) => numberOf(word).toLowerCase());
const chosen = cases.filter(({ name }) => asked.length === 0 || asked.includes(numberOf(name).toLowerCase()));
if (chosen.length < Math.max(asked.length, 1))
  refuse(`there is no such case. There are: ${cases.map(({ name }) => numberOf(name)).join(", ")}.`);

const say = (line) => process.stdout.write(`${line}\n`);

/** What pays in it, as its rules are called; a case without rules is told by its touches. */
const aboutOf = (text) => {
  const names = [...text.matchAll(/^ {2}- name: (.+)$/gm)].map((found) => found[1]);
  return names.length > 0 ? names.join("; ") : (/^touches:\n {2}(.+)$/m.exec(text)?.[1] ?? "");
};

const attempt = (one) => {
  try {
    return { results: scored(one), fault: undefined };
  } catch (error) {
    return { results: [], fault: error instanceof Error ? error.message : String(error) };
  }
};

function tell({ name, text, sheets }, results) {
  say(`${name}\n\n${text.trimEnd()}\n`);
  results.forEach(({ tally, gives }, at) => {
    say(`Sheet ${at + 1}\n${sheets[at].bout.trimEnd().replace(/^/gm, "  ")}`);
    say(`gives   ${told(tally)}`);
    say(`wanted  ${gives}${isRight(tally, gives) ? "" : "   <- wrong"}`);
    for (const award of tally.awards)
      say(`  ${award.exchange === 0 ? "end" : award.exchange}  ${award.sentence}`);
    for (const question of tally.questions) say(`  open  ${question.text}`);
    say("");
  });
}

let sheets = 0;
let wrong = 0;
for (const one of chosen) {
  const { results, fault } = attempt(one);
  const right = results.filter(({ tally, gives }) => isRight(tally, gives)).length;
  const total = one.sheets.length;
  sheets += total;
  wrong += total - right;
  if (asked.length > 0) tell(one, results);
  const mark = right === total ? "ok   " : "WRONG";
  say(`${mark} ${numberOf(one.name).padStart(10)}  ${right}/${total}  ${aboutOf(one.text)}`);
  if (fault !== undefined) say(fault.replace(/^/gm, "      "));
}
const many = (count, what) => `${count} ${what}${count === 1 ? "" : "s"}`;
say(`${many(chosen.length, "case")}, ${many(sheets, "sheet")}, ${wrong} wrong`);
process.exitCode = wrong === 0 ? 0 : 1;
