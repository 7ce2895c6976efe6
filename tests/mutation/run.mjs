/**
 * `npm run test:mutation`: plants one fault after another in a copy of rules/ and asks the scoring tests to find it.
 * One line a fault: which test caught it, or SURVIVED. Exit 1 where one survives, or where a fault's text is not in
 * its file any more. A word after `--` runs only the faults whose pass, file or sentence contains it; `--small` asks
 * only the tests that name one scoring rule each.
 */
import { spawn } from "node:child_process";
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { parse } from "yaml";
import { needBuild, needNode, needPackages, refuse, root } from "../../table-ui/cli/setup.mjs";

needNode();
needPackages();
needBuild();

const here = dirname(fileURLToPath(import.meta.url));
/** The small tests, each of which names one scoring rule, come first; the cases and oracles only where those see nothing. */
const SLOW = /oracle|forgetting|property|settled/;
const FIRST = [
  "passes",
  "order",
  "effects",
  "limits",
  "conditions",
  "pays",
  "marks",
  "steps",
  "phrases",
  "ends-and-picks",
];
const LAST = ["open", "quick"];
const placeOf = (file) => {
  const name = file.split("/").at(-1).split(".")[0];
  return FIRST.includes(name) ? FIRST.indexOf(name) : FIRST.length + (LAST.includes(name) ? 1 : 0);
};
const award = readdirSync(join(root, "tests", "rules", "award"))
  .filter((name) => name.endsWith(".test.ts"))
  .map((name) => `tests/rules/award/${name}`);
const small = award.filter((file) => !SLOW.test(file)).sort((a, b) => placeOf(a) - placeOf(b));
const wide = [
  ...["cases", "cases-further", "bouts"].map((name) => `tests/rules/${name}.test.ts`),
  ...award.filter((file) => SLOW.test(file)).sort((a, b) => (a < b ? 1 : -1)),
];
/** What the table is asked is tested beside the scoring. */
const plan = ["plan", "plan-draft", "plan-say", "plan-anything"].map((name) => `tests/rules/${name}.test.ts`);
/** Tests that do not come to an end have seen the fault too. */
const MOST_MS = 180_000;

const copy = mkdtempSync(join(tmpdir(), "garland-mutation-"));
let child;
process.on("exit", () => {
  child?.kill("SIGKILL");
  // The link first, so that nothing can ever reach the tree's own packages through it.
  rmSync(join(copy, "node_modules"), { force: true });
  rmSync(copy, { recursive: true, force: true });
});
for (const signal of ["SIGINT", "SIGTERM"]) process.on(signal, () => process.exit(130));

function makeCopy() {
  for (const folder of ["rules", "engine", "tests"])
    cpSync(join(root, folder), join(copy, folder), {
      recursive: true,
      // Types are not checked here, and the projects name folders that are not copied.
      filter: (path) => !path.endsWith("tsconfig.json"),
    });
  cpSync(join(root, "package.json"), join(copy, "package.json"));
  symlinkSync(join(root, "node_modules"), join(copy, "node_modules"));
}

/** Every fault with its file, in the order of the lists. */
function listed() {
  const folder = join(here, "faults");
  return readdirSync(folder)
    .filter((name) => name.endsWith(".yaml"))
    .sort()
    .flatMap((name) => parse(readFileSync(join(folder, name), "utf8")));
}

/** Calls `told` with what became of each fault from `from` on; gives the index of the next one still to be tried. */
function plantFrom(listFile, from, mode, told) {
  return new Promise((resolve) => {
    let at = from;
    child = spawn(process.execPath, [join(here, "plant.mjs"), listFile, String(from), mode], {
      cwd: copy,
      stdio: ["ignore", "pipe", "inherit"],
    });
    let silence;
    const watch = () => {
      clearTimeout(silence);
      silence = setTimeout(() => {
        child.kill("SIGKILL");
        told(at, { caught: "tests that never end" });
        at += 1;
      }, MOST_MS);
    };
    watch();
    createInterface({ input: child.stdout }).on("line", (line) => {
      if (!line.startsWith('{"at":')) return;
      watch();
      const { at: done, ...result } = JSON.parse(line);
      told(done, result);
      at = done + 1;
    });
    child.on("close", () => {
      clearTimeout(silence);
      resolve(at);
    });
  });
}

/** In words, and whether the fault was caught. */
function inWords({ file }, { caught, broken, places, wide: isWide }) {
  if (places !== undefined) return [false, `its text stands ${places} times in rules/${file}`];
  if (broken !== undefined) return [false, `does not run: ${broken.split("\n")[0]}`];
  if (caught === undefined) return [false, "SURVIVED"];
  return [true, `caught ${isWide ? "only " : ""}by "${caught}"`];
}

const args = process.argv.slice(2);
const mode = args.includes("--small") ? "small" : "all";
const wanted = args.filter((arg) => !arg.startsWith("--")).join(" ");
const chosen = listed().filter(({ pass, file, breaks }) => `${pass} ${file} ${breaks}`.includes(wanted));
const listFile = join(copy, "faults.json");
let failed = 0;
let onlyWide = 0;

makeCopy();
// The first of the list is no fault: everything must pass before anything is planted.
const faults = [{}, ...chosen];
writeFileSync(listFile, JSON.stringify({ copy, faults, groups: { small, wide, plan } }));
for (let next = 0; next < faults.length;) {
  const before = next;
  next = await plantFrom(listFile, next, mode, (at, result) => {
    const fault = faults[at];
    if (at === 0) {
      if (Object.keys(result).length > 0) refuse(`without any fault: ${JSON.stringify(result)}`);
      return;
    }
    const [ok, words] = inWords(fault, result);
    if (!ok) failed += 1;
    if (result.wide === true) onlyWide += 1;
    process.stdout.write(`${ok ? "ok  " : "MISS"} ${fault.pass}: ${fault.breaks}: ${words}\n`);
  });
  if (next === before) refuse("the test runner ended without a word; see above.");
}
process.stdout.write(
  `${chosen.length} faults, ${chosen.length - failed} caught (${onlyWide} only by a case or an oracle), ${failed} not\n`,
);
process.exitCode = failed === 0 && chosen.length > 0 ? 0 : 1;
