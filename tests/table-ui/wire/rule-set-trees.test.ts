/** What a table scores with arrives as checked trees: they must say all that the texts say, and stay what their hash names. */
import { expect, test } from "vitest";
import { compile, hashRuleSet, readRuleSet, scoreBout, SETS, type RuleSet } from "../../../rules/index.ts";
import { tableView } from "../../../table-ui/wire/view-table.ts";
import { makePatch } from "../../../table-ui/wire/patch.ts";
import type { TableView } from "../../../table-ui/wire/views.ts";
import { answer, double, fence, halt, hit, NIGHT, record, scorerOf } from "../../support/given.ts";
import { hashOf, openRing, openTablet, type Ring } from "../../support/ring.ts";
import { sheetOf } from "../../support/score.ts";

const SHELF = SETS.map(({ text }) => text);
const viewOf = (ring: Ring): TableView =>
  JSON.parse(
    JSON.stringify(tableView(ring.house.hall(), { kind: "table", seat: "table seat", ring: "r1" })),
  ) as TableView;
const treesOf = (ring: Ring): readonly (readonly [hash: string, tree: RuleSet])[] =>
  Object.entries(viewOf(ring).ruleSetTrees ?? {}).map(([hash, tree]) => [hash, JSON.parse(tree) as RuleSet]);

test("[W39] every rule set on the shelf comes as its tree, and the tree is what its hash and its text say", async () => {
  const ring = await openRing(NIGHT, SHELF);
  const trees = treesOf(ring);
  expect(new Set(trees.map(([hash]) => hash))).toEqual(new Set([NIGHT, ...SHELF].map(hashOf)));
  for (const [hash, tree] of trees) {
    expect(hashRuleSet(tree)).toBe(hash);
    const read = readRuleSet(viewOf(ring).ruleSetTexts?.[hash] ?? "");
    expect(read.ok && read.value).toEqual(tree);
  }
});

test("[W39] a scorer made from the tree that was sent pays what one made from the text pays", async () => {
  const ring = await openRing(NIGHT);
  const [[, tree] = []] = treesOf(ring);
  if (tree === undefined) throw new Error("No tree was sent.");
  const fromTree = compile(tree);
  const fromText = scorerOf(NIGHT);
  const sheet = sheetOf(fromText, "1 R cut head ! .\n2 B cut, R parry, R riposte torso ! .\n3 B hand ! .");
  expect(fromText.score(sheet).awards.map(({ rule }) => rule)).toContain("Cover and answer");
  expect(fromTree.score(sheet)).toEqual(scoreBout(fromText, sheet));
});

test("[W39] an event sends no tree again", async () => {
  const ring = await openRing(NIGHT, SHELF);
  const tablet = await openTablet(ring);
  const before = viewOf(ring);
  for (const command of [fence, halt, record("x1", hit("red", "head"))])
    expect(tablet.give(command)).toBeUndefined();
  await tablet.sendAll();
  const patch = makePatch(before, viewOf(ring)) as Partial<TableView>;
  expect(Object.keys(patch.events ?? {})).toHaveLength(3);
  expect(patch.ruleSetTrees).toBeUndefined();
});

test("a tablet that knows trees only folds the same bout as the server", async () => {
  const ring = await openRing(NIGHT);
  const tablet = await openTablet(ring);
  for (const command of [fence, halt, record("x1", answer("red")), fence, halt, record("x2", double)])
    expect(tablet.give(command)).toBeUndefined();
  await tablet.sendAll();
  tablet.receive();
  expect(tablet.screen?.red.points).toBeGreaterThan(0);
  expect(tablet.screen).toEqual(JSON.parse(JSON.stringify(ring.shown("b1"))));
});
