/** What a coach is shown first under a rule set: sheets that read, score, and say what the words say. */
import { describe, expect, test } from "vitest";
import {
  compile,
  pressPlan,
  readRuleSet,
  readSheet,
  scoreBout,
  SETS,
  type ExchangeLine,
  type ScoredExchange,
} from "../../rules/index.ts";
import { typicalExchanges } from "../../table-ui/screens/coach/typical.ts";
import { NIGHT, underBout } from "../support/given.ts";

interface Told {
  readonly words: string;
  readonly line: ExchangeLine;
  readonly scored: ScoredExchange;
}

function told(text: string): readonly Told[] {
  const read = readRuleSet(text);
  if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join("\n"));
  const scorer = compile(read.value);
  return typicalExchanges(pressPlan(scorer)).map(({ words, sheet }) => {
    const bout = readSheet(sheet, read.value);
    if (!bout.ok) throw new Error(`${sheet}: ${bout.faults.map(({ message }) => message).join("\n")}`);
    const [line] = bout.value;
    const [scored] = scoreBout(scorer, bout.value).exchanges;
    if (line?.type !== "exchange" || scored === undefined) throw new Error(`${sheet} is no exchange`);
    return { words, line, scored };
  });
}

const lands = (line: ExchangeLine, side: "red" | "blue"): boolean =>
  line.acts.some((act) => act.by === side && act.end === "hit");

const paidTo = (scored: ScoredExchange, side: "red" | "blue", rule: string): number =>
  scored.awards
    .filter((award) => award.to === side && award.rule.toLowerCase() === rule.toLowerCase())
    .reduce((sum, award) => sum + award.amount, 0);

test("there are ready sets to try, so that the checks below check something", () => {
  expect(SETS.length).toBeGreaterThanOrEqual(6);
});

describe.each(SETS.map((set) => [set.id, set.text] as const))("%s", (_, text) => {
  const all = told(text);

  test("it works, it fails, a plain hit, both hit: four exchanges, in this order", () => {
    expect(all.map(({ words }) => words.split(/[;,] /)[0])).toEqual([
      "Red hits",
      "Nobody hits",
      "Blue hits",
      "Both hit at once.",
    ]);
  });

  test("every one is settled: an example waits for no judge", () => {
    for (const { line, scored } of all) {
      expect(line.open).toBe(false);
      expect(scored.open).toEqual([]);
    }
  });

  test("it works: Red lands, and the taught action that the words name is the dearest that a hit can earn Red", () => {
    const [{ words, line, scored } = expect.fail()] = all;
    const rule = /^Red hits; (.+)\.$/.exec(words)?.[1] ?? "";
    expect([lands(line, "red"), lands(line, "blue")]).toEqual([true, false]);
    // Every ready set pays 2 bonus for the taught answer, and at most 1 for giving the cue.
    expect(paidTo(scored, "red", rule)).toBe(2);
    expect(paidTo(scored, "red", "touch")).toBeGreaterThan(0);
  });

  test("it fails: Red attempts it and nobody lands; Red earns no point, whoever gave the cue still earns it", () => {
    const { words, line, scored } = all[1] ?? expect.fail();
    expect(words).toBe("Nobody hits; Red: attempt.");
    expect(line.acts.length).toBeGreaterThan(1);
    expect([lands(line, "red"), lands(line, "blue")]).toEqual([false, false]);
    expect(scored.awards.filter(({ unit }) => unit === "points")).toEqual([]);
    expect(
      scored.awards.some(({ to, unit, amount }) => to === "blue" && unit === "bonus" && amount > 0),
    ).toBe(true);
  });

  test("a plain hit: Blue lands, and nothing but the touch is paid", () => {
    const { line, scored } = all[2] ?? expect.fail();
    expect([lands(line, "red"), lands(line, "blue")]).toEqual([false, true]);
    expect(scored.awards.map(({ to, unit, rule }) => [to, unit, rule.toLowerCase()])).toEqual([
      ["blue", "points", "touch"],
    ]);
  });

  test("both hit: it is a double, each of them lands, and neither earns more by it than the other", () => {
    const { line, scored } = all[3] ?? expect.fail();
    expect(line.how).toBe("double");
    expect([lands(line, "red"), lands(line, "blue")]).toEqual([true, true]);
    const sum = (side: "red" | "blue"): number =>
      scored.awards.filter(({ to }) => to === side).reduce((n, { amount }) => n + amount, 0);
    expect(sum("red")).toBe(sum("blue"));
  });
});

describe("under any other rule set only what it has is shown", () => {
  test("without themes: a hit of Red's, a hit of Blue's, a double", () => {
    const all = told(underBout("ends: at 5 points"));
    expect(all.map(({ words }) => words)).toEqual([
      "Red hits.",
      "Blue hits, and nothing more.",
      "Both hit at once.",
    ]);
    expect(all.map(({ scored }) => scored.awards.map(({ to, amount }) => `${to} ${amount}`))).toEqual([
      ["red 3"],
      ["blue 3"],
      [],
    ]);
  });

  test("a theme that a hit rules out is never said of a hit", () => {
    const all = told(`name: Cue only
touches:
  I hit: 1
rules:
  - name: Gave the thrust
    when: I thrust
    unless: I hit
    pays: 1 bonus to me
`);
    expect(all.map(({ words }) => words)).toEqual([
      "Red hits.",
      "Nobody hits; Red: gave the thrust.",
      "Blue hits, and nothing more.",
      "Both hit at once.",
    ]);
    expect(paidTo(all[1]?.scored ?? expect.fail(), "red", "Gave the thrust")).toBe(1);
  });

  test("a sealed choice that nobody has made keeps none of them from scoring", () => {
    const [works] = told(NIGHT);
    expect(works?.words).toBe("Red hits; cover and answer.");
    expect(paidTo(works?.scored ?? expect.fail(), "red", "Cover and answer")).toBe(2);
  });
});
