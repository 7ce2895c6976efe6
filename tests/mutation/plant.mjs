/**
 * One long run of the test runner over the copy: plants each fault of the list that stands in its first argument, from
 * the index in its second on, and prints one line of JSON for what became of it. run.mjs starts it, watches that it
 * comes to an end, and starts it again behind a fault that does not.
 */
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createVitest } from "vitest/node";

const [listFile, from, smallOnly] = process.argv.slice(2);
const { copy, faults, groups } = JSON.parse(readFileSync(listFile, "utf8"));

/** The files of a group run in its order: the tests that name one scoring rule before those that meet many. */
class InOrder {
  sort(specifications) {
    const place = ({ moduleId }) => order.findIndex((file) => moduleId.endsWith(`/${file}`));
    return [...specifications].sort((a, b) => place(a) - place(b));
  }
  shard(specifications) {
    return specifications;
  }
}
const order = Object.values(groups).flat();

const vitest = await createVitest(
  "test",
  {
    root: copy,
    include: order,
    sequence: { sequencer: InOrder },
    watch: false,
    bail: 1,
    reporters: [{}],
    maxWorkers: 1,
    // The rules are read once a run, not once a file.
    isolate: false,
    testTimeout: 600_000,
  },
  // The cache stays in the copy: its packages are the tree's own.
  { cacheDir: join(copy, ".cache"), configFile: false },
);
const all = await vitest.globTestSpecifications();
const inGroup = (group) =>
  all.filter(({ moduleId }) => groups[group].some((file) => moduleId.endsWith(`/${file}`)));

/** The first test of the group that failed; undefined where all passed. */
async function firstFailure(group) {
  const { testModules } = await vitest.runTestSpecifications(inGroup(group));
  for (const module of testModules)
    for (const test of module.children.allTests("failed")) return { caught: test.fullName };
  const broken = testModules.flatMap((module) => module.errors());
  if (broken.length > 0) return { broken: broken[0].message };
  return undefined;
}

async function tried({ file, find, put }) {
  if (file === undefined) {
    for (const group of smallOnly === "small" ? ["small", "plan"] : Object.keys(groups)) {
      const found = await firstFailure(group);
      if (found) return found;
    }
    return {};
  }
  const path = join(copy, "rules", file);
  const text = readFileSync(path, "utf8");
  const places = text.split(find).length - 1;
  if (places !== 1) return { places };
  const plant = (now) => {
    writeFileSync(path, now);
    vitest.invalidateFile(path);
  };
  plant(text.replace(find, () => put));
  try {
    const found = await firstFailure(file.startsWith("award/plan") ? "plan" : "small");
    if (found || smallOnly === "small") return found ?? {};
    const later = await firstFailure("wide");
    return later ? { ...later, wide: true } : {};
  } finally {
    plant(text);
  }
}

for (let at = Number(from); at < faults.length; at += 1)
  process.stdout.write(`${JSON.stringify({ at, ...(await tried(faults[at])) })}\n`);
await vitest.close();
process.exit(0);
