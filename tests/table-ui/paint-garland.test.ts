/** The picture's drawing rules (the look's own rules; nothing here comes from a published source). */
import { describe, expect, test } from "vitest";
import { garland, roomFor } from "../../table-ui/screens/paint/garland.ts";
import { exchangesOf, markOf, marksOf, underWay, type Mark } from "../../table-ui/screens/paint/marks.ts";
import { lozenge, numeral, radius } from "../../table-ui/screens/paint/shapes.ts";
import { STATES } from "../../table-ui/screens/paint/style.ts";
import { exchangeInWords, garlandLabel, tellingTable } from "../../table-ui/screens/paint/telling.ts";
import { AFTER, bout, DURING, exchange, OPEN_FIVE, TEN } from "../support/fixtures.ts";

const draw = (marks: readonly Mark[], width = 960, planned = 10, more: object = {}): string =>
  garland(marks, { width, planned, label: "A garland", ...more });
const state = (name: string): Mark => {
  const found = STATES.find(([said]) => said === name);
  if (!found) throw new Error(`no state "${name}"`);
  return found[1];
};
/** Where the first digit of this look stands. */
const heightOf = (svg: string, look: string): number =>
  Number(new RegExp(`<text x="[^"]+" y="([^"]+)" class="${look}`).exec(svg)?.[1]);
/** How many threads begin. */
const rowsOf = (svg: string): number =>
  new Set([...svg.matchAll(/<path d="M0 ([\d.]+)Q/g)].map(([, y]) => y)).size;
const count = (svg: string, what: RegExp): number => svg.match(what)?.length ?? 0;

describe("an exchange", () => {
  test("a touch's area grows with its points, halves allowed", () => {
    expect(radius(10, 4) ** 2 / radius(10, 1) ** 2).toBeCloseTo(4);
    expect(radius(10, 0.5) ** 2 / radius(10, 1) ** 2).toBeCloseTo(0.5);
    expect([0.5, 1.5, 3, -1].map(numeral)).toEqual(["½", "1½", "3", "−1"]);
  });

  test("a lozenge covers about as much as the disc of the same points", () => {
    // Chords for curves: the true area is a little larger.
    const corners = [...lozenge(0, 0, 100).matchAll(/(?:[ML]|Q\S+ \S+ )(-?[\d.]+) (-?[\d.]+)/g)].map(
      ([, x, y]) => [Number(x), Number(y)] as const,
    );
    const area = Math.abs(
      corners.reduce((sum, [x, y], i) => {
        const [nx, ny] = corners[(i + 1) % corners.length] ?? [0, 0];
        return sum + (x * ny - nx * y) / 2;
      }, 0),
    );
    expect(area / (Math.PI * 100 ** 2)).toBeGreaterThan(0.8);
    expect(area / (Math.PI * 100 ** 2)).toBeLessThan(1.1);
  });

  test("Red hangs above the thread, Blue below", () => {
    const svg = draw([state("Red, 3"), state("Blue, 2")], 960, 10, { height: 400 });
    expect(heightOf(svg, "g-nred")).toBeLessThan(200);
    expect(heightOf(svg, "g-nblue")).toBeGreaterThan(200);
  });

  test("only what is undecided is dashed", () => {
    for (const [name, mark] of STATES)
      expect([name, draw([mark]).includes("stroke-dasharray")]).toEqual([name, name.startsWith("Open")]);
  });

  test("only a bonus is a leaf", () => {
    for (const [name, mark] of STATES) {
      const bonuses = mark.red.leaves.length + mark.blue.leaves.length;
      expect([name, count(draw([mark], 2000, 4, { height: 300 }), /class="g-leaf/g)]).toEqual([
        name,
        bonuses,
      ]);
    }
  });

  test("what is being entered has outlines only and a hollow ring for its knot", () => {
    const svg = draw([state("Not recorded")]);
    expect(svg).not.toMatch(/class="g-(red|blue|leaf|knot)"/);
    expect(svg).toMatch(/class="g-wet g-thread"/);
  });

  test("two and three leaves stand apart where there is room; else one leaf says the sum", () => {
    expect(count(draw([state("Three bonuses")], 2000, 4, { height: 300 }), /class="g-leaf"/g)).toBe(3);
    const tight = draw([state("Two bonuses")], 400, 20);
    expect(count(tight, /class="g-leaf"/g)).toBe(1);
    const summed = draw([state("Two bonuses")], 330, 10);
    expect(summed).toMatch(/g-nleaf[^>]*>3</);
  });

  test("a double that pays hangs its touches outside the rings", () => {
    const svg = draw([state("Double that pays")], 960, 10, { height: 400 });
    const ring = Number(/cy="([\d.]+)" r="[\d.]+" class="g-redln"/.exec(svg)?.[1]);
    const bead = Number(/cy="([\d.]+)" r="[\d.]+" class="g-red"/.exec(svg)?.[1]);
    expect(bead).toBeLessThan(ring - 20);
  });

  test("the settled part of an award and its open part are not mixed", () => {
    const mark = markOf(OPEN_FIVE);
    expect(mark.blue).toEqual({ points: 1, openPoints: 0, leaves: [{ bonus: 2, state: "open" }] });
  });
});

describe("the bout", () => {
  test("room is planned, and grows by six", () => {
    expect([0, 12, 13, 18, 19].map((marks) => roomFor(marks, 12))).toEqual([12, 12, 18, 18, 24]);
  });

  test("no digit is smaller than 10 pixels at any size", () => {
    for (const width of [120, 200, 280, 328, 480, 960])
      for (const planned of [5, 10, 12, 18])
        for (const [, size] of draw(marksOf(AFTER), width, planned).matchAll(/font-size="([\d.]+)"/g))
          expect(Number(size)).toBeGreaterThanOrEqual(10);
  });

  test("nothing leaves the drawing's height with the largest touch and a leaf on both sides", () => {
    const { blue } = state("Deep hit, 4");
    const svg = draw([{ ...state("Deep hit, 4"), red: blue }], 960, 10, { height: 300 });
    const leaves = [
      ...svg.matchAll(/d="M0 0[^"]* 0 -([\d.]+)C[^"]*" transform="translate\([\d.]+ (-?[\d.]+)\)/g),
    ];
    expect(leaves).toHaveLength(2);
    for (const [, long, foot] of leaves)
      expect(Math.abs(Number(foot) - 150) + Number(long)).toBeLessThan(151);
  });

  test("more than twelve stand in two rows on a phone", () => {
    const many = [...TEN, ...TEN].map((one, i) => markOf({ ...one, id: `m${i}` }));
    expect(rowsOf(draw(many, 328, 12, { rowOf: 12 }))).toBe(2);
    expect(rowsOf(draw(many, 960, 24))).toBe(1);
  });

  test("while it goes on the exchange under way is a hollow ring at the end", () => {
    expect(marksOf(bout(TEN.slice(0, 2))).at(-1)).toBe(underWay);
    expect(marksOf(bout(TEN.slice(0, 2), { stage: "ended" }))).toHaveLength(2);
    expect(marksOf(bout([], { stage: "called" }))).toHaveLength(0);
  });

  test("the picture is geometry and classes: no style, no script, no address", () => {
    const svg = draw(
      STATES.map(([, mark]) => mark),
      960,
      24,
      { numbers: 12 },
    );
    expect(svg).not.toMatch(/style=|<style|<script|href=|url\(|fill=|stroke="/);
  });

  test("its name and an exchange's id cannot break out of their attributes", () => {
    const svg = garland([{ ...state("Red, 1"), id: '"><script>' }], {
      width: 300,
      planned: 3,
      label: '"<b>&',
    });
    expect(svg).not.toMatch(/<script|<b>/);
    expect(svg).toContain('aria-label="&quot;&lt;b&gt;&amp;"');
  });
});

describe("in words", () => {
  test("every exchange says who has what, settled and perhaps", () => {
    expect(exchangeInWords(OPEN_FIVE)).toBe("Exchange 5: Blue 1 point, perhaps 2 bonus.");
    expect(exchangeInWords(exchange(3, "Double: both hit.", [], { how: "double" }))).toBe(
      "Exchange 3: double.",
    );
    expect(exchangeInWords(exchange(6, "", [["red", "points", 2, ""]], { sealed: true }))).toBe(
      "Exchange 6: sealed.",
    );
  });

  test("the picture's name sums up, the table has a row an exchange", () => {
    const view = DURING;
    expect(garlandLabel(view)).toBe(
      "The bout so far, 6 exchanges: Red 4 points and 1 bonus, Blue 4 points and 2 bonus.",
    );
    expect(count(tellingTable(view, "The bout").markup, /<th scope="row">/g)).toBe(exchangesOf(view).length);
  });
});
