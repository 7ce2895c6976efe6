/**
 * What a device loads before its page works, in bytes as brotli sends them. The budgets of the table's scripts and of the
 * fencer's page are the design's goals where they are reached; every other number is what stands today, rounded up, so
 * that nobody drags the language into a page unseen.
 */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { brotliCompressSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { paintPages, readManifest, type Manifest } from "../../table-ui/screens/paint/page.ts";
import { packed } from "../../table-ui/server/compress.ts";
import { FENCER_VIEWS } from "../support/fixtures.ts";
import { root } from "../support/tree.ts";

interface Chunk {
  readonly file: string;
  readonly name?: string;
  readonly isEntry?: boolean;
  readonly imports?: readonly string[];
  readonly dynamicImports?: readonly string[];
  readonly css?: readonly string[];
}

const BUILT = join(root, ".build", "pages");
const manifest = JSON.parse(readFileSync(join(BUILT, "manifest.json"), "utf8")) as Manifest &
  Readonly<Record<string, Chunk>>;

function entryOf(page: string): Chunk {
  const entry = Object.values(manifest).find((chunk) => chunk.isEntry === true && chunk.name === page);
  if (entry === undefined) throw new Error(`No page "${page}" was built.`);
  return entry;
}

/** Every script that a page reaches: at once, or with what it asks for later too. */
function scriptsOf(page: string, later: boolean): readonly string[] {
  const files = new Set<string>();
  const visit = (chunk: Chunk): void => {
    if (files.has(chunk.file)) return;
    files.add(chunk.file);
    const next = [...(chunk.imports ?? []), ...(later ? (chunk.dynamicImports ?? []) : [])];
    for (const key of next) {
      const found = manifest[key];
      if (found === undefined) throw new Error(`The manifest has no "${key}".`);
      visit(found);
    }
  };
  visit(entryOf(page));
  return [...files];
}

/** Brotli at its best, as the build compresses each file once. */
const weigh = (files: readonly string[]): number =>
  files.reduce((sum, file) => sum + brotliCompressSync(readFileSync(join(BUILT, file))).length, 0);

/** Scripts at once, and with all that comes later; in kB (1,000 bytes). */
const BUDGETS: readonly (readonly [page: string, atOnce: number, inAll: number])[] = [
  ["table", 60, 140],
  ["fencer", 16, 16],
  ["wall", 15, 15],
  ["judge", 18, 18],
  ["coach", 32, 200],
];

describe.each(BUDGETS)("the %s page", (page, atOnce, inAll) => {
  test(`has at most ${atOnce} kB of scripts before it works`, () => {
    const bytes = weigh(scriptsOf(page, false));
    // Less than this is no page: the check has read the wrong files.
    expect(bytes).toBeGreaterThan(8_000);
    expect(bytes).toBeLessThanOrEqual(atOnce * 1_000);
  });

  test(`has at most ${inAll} kB of scripts in all`, () => {
    expect(weigh(scriptsOf(page, true))).toBeLessThanOrEqual(inAll * 1_000);
  });
});

test("a fencer's page during a bout, with its styles and its script, is at most 22 kB", async () => {
  const html = paintPages(readManifest(manifest)).fencer(FENCER_VIEWS.during);
  const { body, encoding } = await packed(html, "br");
  expect(encoding).toBe("br");
  const styles = entryOf("fencer").css ?? [];
  expect(styles.length).toBeGreaterThan(0);
  const bytes = Buffer.byteLength(body) + weigh([...styles, ...scriptsOf("fencer", false)]);
  expect(bytes).toBeGreaterThan(10_000);
  expect(bytes).toBeLessThanOrEqual(22_000);
});

test("what only a coach who writes needs is on no other page: no reader of files, no sentence about a fault", () => {
  const told = (page: string): boolean =>
    scriptsOf(page, true).some((file) =>
      readFileSync(join(BUILT, file), "utf8").includes("is not a word I know here"),
    );
  expect(told("coach")).toBe(true);
  expect(BUDGETS.map(([page]) => page).filter((page) => told(page))).toEqual(["coach"]);
});
