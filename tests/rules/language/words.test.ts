/** Words: looked up by longest match, in any case, with or without articles; each school has its own. */
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { formatFaults } from "../../../rules/language/faults.ts";
import { Names } from "../../../rules/language/names.ts";
import { parsePhrase } from "../../../rules/language/parse-phrase.ts";
import { expectedAfter } from "../../../rules/language/parse.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import { distance, nearest } from "../../../rules/language/spelling.ts";
import { keyOf, tokenise } from "../../../rules/language/tokens.ts";
import { wordsFor } from "../../../rules/language/words.ts";
import { WEAPONS, WORD_CLASSES } from "../../../rules/vocabulary.ts";

const read = (top: string): string => {
  const outcome = readRuleSet(`name: A\n${top}touches:\n  I hit with a riverso: 1\n`, "a.yaml");
  return outcome.ok ? "in order" : formatFaults(outcome.faults);
};

describe("words", () => {
  const longsword = wordsFor("longsword", []);

  test("found by any spelling", () => {
    expect(longsword.named("wrath cut", "blow")?.name).toBe("zornhau");
    expect(longsword.named("ZORNHAU", "blow")?.name).toBe("zornhau");
    expect(longsword.named("evade", "action")?.name).toBe("void");
    expect(longsword.named("with hand covered", "manner")?.name).toBe("with the hand covered");
  });

  test("another school's words are not known", () => {
    expect(longsword.find("mandritto")).toEqual([]);
    expect(wordsFor("sidesword", []).find("mandritto").length).toBe(1);
  });

  test("own words are known to their rule set alone", () => {
    const own = wordsFor("longsword", [{ name: "praise", is: "call" }]);
    expect(own.named("praise", "call")?.name).toBe("praise");
    expect(longsword.named("praise", "call")).toBeUndefined();
  });

  test("offence: what can be struck with, and what cannot", () => {
    for (const kind of ["attack", "riposte", "counter-riposte", "remise", "redoublement", "counter-attack"])
      expect(longsword.named(kind, "action")?.offence, kind).toBe(true);
    for (const kind of ["stop-hit", "counter-time", "afterblow", "pommel strike"])
      expect(longsword.named(kind, "action")?.offence, kind).toBe(true);
    for (const kind of [
      "feint",
      "beat",
      "bind",
      "press",
      "control",
      "grapple",
      "disarm",
      "threaten",
      "withdraw",
    ])
      expect(longsword.named(kind, "action")?.offence ?? false, kind).toBe(false);
  });

  test("completions by prefix and class", () => {
    expect(longsword.completions("zw", ["blow"]).map((word) => word.name)).toEqual(["zwerchhau"]);
  });

  test.each([undefined, ...WEAPONS])("every word of %s is found again in its class", (weapon) => {
    const words = wordsFor(weapon, []);
    let count = 0;
    for (const wordClass of WORD_CLASSES)
      for (const word of words.all(wordClass)) {
        expect(words.find(word.name), word.name).toContain(word);
        count++;
      }
    expect(count).toBeGreaterThan(100);
  });

  test("without a weapon a word with two meanings is a fault that names both", () => {
    expect(read("")).toContain("has two meanings");
    expect(read("")).toMatch(/Rapier.*Sidesword/s);
    expect(read("weapon: rapier\n")).toBe("in order");
    expect(read("weapon: sidesword\n")).toBe("in order");
  });
});

describe("tokens", () => {
  test("articles are optional everywhere, and places are kept", () => {
    expect(keyOf("the hand of a fencer")).toEqual(["hand", "of", "fencer"]);
    expect(tokenise("I hit the Head").map(({ text, start, end }) => [text, start, end])).toEqual([
      ["i", 0, 1],
      ["hit", 2, 5],
      ["head", 10, 14],
    ]);
  });
  test("places lie inside the text, in order, whatever it is", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 60 }), (text) => {
        let last = 0;
        for (const { start, end } of tokenise(text)) {
          expect(start).toBeGreaterThanOrEqual(last);
          expect(end).toBeGreaterThan(start);
          last = end;
        }
        expect(last).toBeLessThanOrEqual(text.length);
      }),
      { numRuns: 500, seed: 7 },
    );
  });
});

describe("spelling", () => {
  test("two neighbours swapped are one slip", () => {
    expect(distance("haed", "head", 3)).toBe(1);
    expect(distance("kitten", "sitting", 5)).toBe(3);
    expect(distance("", "abc", 5)).toBe(3);
  });
  test("the same letters come before another letter", () => {
    expect(nearest("haed", ["hand", "head"])).toBe("head");
  });
  test("three letters are too few to tell", () => {
    expect(nearest("hti", ["hit"])).toBeUndefined();
  });
});

describe("what could stand next comes from the same grammar", () => {
  const names = new Names(wordsFor("longsword", []));
  const after = (text: string): readonly string[] =>
    expectedAfter(text, parsePhrase, names).map((one) =>
      one.kind === "text" ? one.text : one.kind === "class" ? `<${one.class}>` : one.kind,
    );

  test("at the beginning a fencer", () => {
    expect(after("")).toEqual(expect.arrayContaining(["I", "they", "we both", "first"]));
  });
  test("after a fencer a verb", () => {
    expect(after("I ")).toEqual(expect.arrayContaining(["never", "hit", "strike", "<action>", "<form>"]));
  });
  test("after a verb its modifiers or the next action", () => {
    expect(after("they cut ")).toEqual(
      expect.arrayContaining(["with", "to", "from", "<manner>", "then", "at once"]),
    );
  });
  test("after to a target", () => {
    expect(after("they cut to the ")).toContain("<target>");
  });
});
