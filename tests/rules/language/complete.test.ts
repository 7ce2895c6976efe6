import { describe, expect, test } from "vitest";
import { complete } from "../../../rules/language/complete.ts";
import { Names } from "../../../rules/language/names.ts";
import { parseSentence, type Rule } from "../../../rules/language/parse.ts";
import { SENTENCES, type SentenceKind } from "../../../rules/language/sentences.ts";
import { wordsFor } from "../../../rules/language/words.ts";
import { seeded, type Random } from "../../support/random-bouts.ts";

/** Names of every sort, so that no place of the grammar lacks one. */
function names(): Names {
  const all = new Names(wordsFor("longsword", [{ name: "praise", is: "call" }]));
  all.add({ of: "phrase", name: "theme" });
  const openings = [{ text: "upper left opening" }, { text: "upper right opening" }];
  all.add({ of: "pick", name: "secret opening", each: true, values: openings });
  all.add({ of: "pick", name: "card", each: false, values: [{ text: "ripostes" }, { text: "thrusts" }] });
  all.add({ of: "mark", name: "streak", is: "count", for: "each fencer" });
  all.add({ of: "mark", name: "beaten", is: "set", for: "each fencer tonight" });
  all.add({ of: "mark", name: "last target", is: "note", for: "each fencer" });
  all.add({ of: "mark", name: "hurry", is: "flag", for: "the bout" });
  all.add({ of: "mark", name: "initiative", is: "token", for: "the bout" });
  all.add({ of: "role", name: "attacker", mark: "who attacks" });
  all.addRule("Riposte");
  return all;
}

const WALKS = process.env["LONG"] === "1" ? 20_000 : 600;
/** A walk that has gone on for so long takes the first end that it meets. */
const LONG_ENOUGH = 14;
const LONGEST = 90;

/** Writes a sentence by taking one completion after another; its text, or where it was stuck. */
function walk(random: Random, kind: SentenceKind, all: Names): { text: string; whole: boolean } {
  let text = "";
  for (let words = 0; words < LONGEST; words++) {
    const { whole, next, replaces } = complete(`${text} `.trimStart(), kind, all);
    if (whole && (words >= LONG_ENOUGH || next.length === 0 || random.below(4) === 0)) return { text, whole };
    if (next.length === 0 || replaces > 0) return { text, whole };
    const { text: more } = random.pick(next);
    text = text === "" || more === "," || more === ";" ? text + more : `${text} ${more}`;
  }
  return { text, whole: complete(text, kind, all).whole };
}

describe("[P21] what could stand next is what the grammar takes", () => {
  const all = names();
  const kinds = Object.keys(SENTENCES) as SentenceKind[];

  test.each(kinds)(
    "%s: whoever takes one completion after another writes a sentence that is read",
    (kind) => {
      const random = seeded(kinds.indexOf(kind) + 1);
      const texts = new Set<string>();
      for (let i = 0; i < WALKS / 10; i++) {
        const { text, whole } = walk(random, kind, all);
        expect(whole, `stuck after "${text}"`).toBe(true);
        expect(parseSentence(text, SENTENCES[kind] as Rule<unknown>, all), text).toMatchObject({ ok: true });
        texts.add(text);
      }
      expect(texts.size).toBeGreaterThan(0);
    },
  );

  test("a word that was begun is finished, in the middle of a longer one too", () => {
    const texts = (text: string): readonly string[] =>
      complete(text, "rules.when", all).next.map((o) => o.text);
    expect(texts("I rip")).toContain("riposte");
    expect(texts("they hit the upper l")).toContain("upper left opening");
    expect(texts("they hit the upper l")).not.toContain("upper right opening");
    expect(complete("I rip", "rules.when", all)).toMatchObject({ replaces: 3, whole: false });
  });

  test("nothing is offered that the grammar refuses a word later", () => {
    const after = (text: string): readonly string[] =>
      complete(text, "rules.if", all).next.map((o) => o.text);
    // A fencer's own secret has an owner, and a flag is neither a number nor somebody's.
    expect(after("my")).toContain("secret opening");
    expect(after("the")).not.toContain("secret opening");
    expect(after("the hurry is")).toEqual(["not", "on", "off"]);
    expect(after("I hit")).not.toContain("my");
  });

  test("where the sentence may end, it says so", () => {
    expect(complete("2 bonus to me", "rules.pays", all).whole).toBe(true);
    expect(complete("2 bonus", "rules.pays", all)).toMatchObject({ whole: false });
    expect(complete("2", "rules.pays", all).next.map(({ text }) => text)).toContain("bonus");
    expect(complete("", "rules.watch", all).next.length).toBeGreaterThan(3);
  });

  test("wrong text is answered with nothing, not with a guess", () => {
    expect(complete("red hits", "rules.when", all)).toEqual({ whole: false, replaces: 0, next: [] });
  });
});
