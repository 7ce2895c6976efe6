/**
 * The words of the schools against the geometry that their published sources print. Directions are from the striker's
 * own side, openings from their owner's body, all for right-handers.
 */
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { LEXICONS } from "../../rules/.generated/shelf.ts";
import { COMMON } from "../../rules/language/common.ts";
import { type ActAttribute, type Lexicon, lexiconSchema, type Word } from "../../rules/language/lexicon.ts";
import { wordsFor } from "../../rules/language/words.ts";
import { DIRECTIONS, EDGES, FORMS, type Weapon, WEAPONS, type WordClass } from "../../rules/vocabulary.ts";

const lexicon = (weapon: Weapon): Lexicon => {
  const found = LEXICONS.find((one) => one.weapon === weapon);
  if (!found) throw new Error(`no lexicon for ${weapon}`);
  return found;
};

function word(weapon: Weapon, name: string, wordClass: WordClass = "blow"): Word {
  const found = lexicon(weapon).words.find(
    (one) => one.class === wordClass && (one.name === name || one.also?.includes(name)),
  );
  if (!found) throw new Error(`no ${wordClass} "${name}" for the ${weapon}`);
  return found;
}

/** "descending from the right to the upper left", as far as the word says it. */
function geometry(weapon: Weapon, name: string): string {
  const { means, stroke } = word(weapon, name);
  const side =
    stroke === undefined ? means?.side?.join(" or ") : { forehand: "right", backhand: "left" }[stroke];
  return [
    means?.direction?.join(" or "),
    side && `from ${side}`,
    means?.opening && `to ${means.opening.join(" or ")}`,
    means?.edge && `with the ${means.edge.join(" or ")}`,
  ]
    .filter((part) => part !== undefined)
    .join(" ");
}

const openings = (weapon: Weapon, name: string, wordClass: WordClass): readonly string[] =>
  word(weapon, name, wordClass).means?.opening ?? [];

describe("every lexicon", () => {
  const folder = new URL("../../rules/lexicons/", import.meta.url);
  const files = readdirSync(folder).filter((file) => file.endsWith(".yaml"));

  test("there is one a weapon", () => {
    expect(files.map((file) => file.replace(".yaml", "")).sort()).toEqual(
      ["longsword", "rapier", "sabre", "sidesword", "smallsword", "sport"].sort(),
    );
    expect(LEXICONS.map((one) => one.weapon)).toHaveLength(files.length);
  });

  test.each(files)("%s has the shape of a lexicon and stands on the shelf as it is written", (file) => {
    const raw: unknown = parse(readFileSync(new URL(file, folder), "utf8"));
    const { error } = lexiconSchema.safeParse(raw);
    expect(error?.issues ?? []).toEqual([]);
    expect(LEXICONS).toContainEqual(raw);
  });

  test.each(LEXICONS.map((one) => [one.name, one] as const))(
    "%s: 25 words or more, no spelling twice, every word with its source, every exclusion known",
    (_name, { words, sources }) => {
      expect(words.length).toBeGreaterThanOrEqual(25);
      const spellings = words.flatMap((one) =>
        [one.name, ...(one.also ?? [])].map((name) => `${one.class} ${name}`),
      );
      expect(spellings.filter((spelling, i) => spellings.indexOf(spelling) !== i)).toEqual([]);
      expect(words.filter((one) => one.source === undefined || sources[one.source] === undefined)).toEqual(
        [],
      );
      expect(Object.keys(sources).filter((key) => !words.some((one) => one.source === key))).toEqual([]);
      for (const one of words)
        for (const excluded of one.excludes ?? []) {
          const opposite = words.find((other) => other.class === one.class && other.name === excluded);
          expect(opposite?.excludes, `${one.name} excludes ${excluded}`).toContain(one.name);
        }
    },
  );
});

/** What a word says of an action beyond its own name. */
const hasGeometry = ({ means, stroke }: Word): boolean => means !== undefined || stroke !== undefined;

const ATTRIBUTES: Readonly<Partial<Record<WordClass, ActAttribute>>> = {
  action: "kind",
  blow: "blow",
  target: "target",
  guard: "guard",
  footwork: "footwork",
};

describe.each(LEXICONS.map((one) => [one.name, one] as const))("%s", (_name, { weapon, words }) => {
  test("25 words or more have geometry, each with a source", () => {
    const told = words.filter((one) => hasGeometry(one) && one.source !== undefined);
    expect(told.length).toBeGreaterThanOrEqual(25);
  });

  test("each has the classes that a coach asks for: blows, guards or lines, the hand or the feet, and manners", () => {
    const has = (wordClass: WordClass): boolean => words.some((one) => one.class === wordClass);
    expect([has("blow"), has("guard") || has("manner"), has("manner")]).toEqual([true, true, true]);
    expect(has("hand") || has("footwork") || has("guard")).toBe(true);
    expect(words.some((one) => one.class === "action")).toBe(true);
  });

  test("every form, direction, edge, side and opening is one that there is", () => {
    const known: Partial<Record<ActAttribute, readonly string[]>> = {
      form: FORMS,
      direction: DIRECTIONS,
      edge: EDGES,
      side: ["right", "left", "above"],
      opening: ["upper left", "upper right", "lower left", "lower right"],
      target: wordsFor(weapon, [])
        .all("target")
        .map(({ name }) => name),
    };
    for (const one of words)
      for (const [attribute, values] of Object.entries(one.means ?? {}) as [
        ActAttribute,
        readonly string[],
      ][])
        for (const value of values)
          if (known[attribute]) expect(known[attribute], `${one.name}: ${attribute}`).toContain(value);
  });

  test("no word contradicts another: whatever is the finer word is all that the general one says", () => {
    for (const general of words) {
      const own = ATTRIBUTES[general.class];
      const kinds = (own && general.means?.[own]) ?? [];
      for (const name of kinds.filter((kind) => kind !== general.name)) {
        const finer = words.find((one) => one.class === general.class && one.name === name);
        expect(finer, `${general.name} covers ${name}`).toBeDefined();
        expect([undefined, general.stroke], `${name} is a ${general.name}`).toContain(
          general.stroke === undefined ? undefined : finer?.stroke,
        );
        for (const [attribute, values] of Object.entries(general.means ?? {})) {
          const inner = finer?.means?.[attribute as ActAttribute] ?? [name];
          for (const value of inner)
            expect(values, `${name} is a ${general.name}: ${attribute}`).toContain(value);
        }
      }
    }
  });

  test("a stroke says the side, so no word says both; what turns has something to turn", () => {
    for (const one of words) {
      if (one.stroke !== undefined) expect(one.means?.side, one.name).toBeUndefined();
      if (one.turns !== undefined)
        expect(one.stroke !== undefined || one.means?.opening !== undefined, one.name).toBe(true);
    }
  });

  test("what a word is a kind or a part of is a word, and covers it", () => {
    const known = wordsFor(weapon, []);
    for (const one of words) {
      if (one.of === undefined) continue;
      const own = ATTRIBUTES[one.class];
      if (own === undefined) throw new Error(`${one.name} cannot be a kind of anything`);
      expect(known.named(one.of, one.class)?.means?.[own], one.name).toContain(one.name);
    }
  });
});

test("a part of a part is a part of the whole, in every lexicon", () => {
  for (const weapon of WEAPONS) {
    const targets = wordsFor(weapon, []).all("target");
    for (const outer of targets)
      for (const name of outer.means?.target ?? []) {
        const inner = targets.find((one) => one.name === name);
        for (const part of inner?.means?.target ?? [])
          expect(outer.means?.target, outer.name).toContain(part);
      }
  }
});

test("no lexicon changes what a common word covers", () => {
  for (const weapon of WEAPONS)
    for (const common of COMMON.words) {
      const here = wordsFor(weapon, []).named(common.name, common.class);
      for (const [attribute, values] of Object.entries(common.means ?? {}))
        expect(here?.means?.[attribute as ActAttribute], `${weapon}: ${common.name}`).toEqual(
          expect.arrayContaining([...values]),
        );
    }
});

/** R. G. Allanson-Winn and C. Phillipps-Wolley, Broad-sword and Single-stick, 1890 (seen). */
describe("British cuts and guards, Allanson-Winn and Phillipps-Wolley 1890", () => {
  test.each([
    ["cut 1", "descending from right to upper left"],
    ["cut 2", "descending from left to upper right"],
    ["cut 3", "rising from right to lower left"],
    ["cut 4", "rising from left to lower right"],
    ["cut 5", "level from right to upper left or lower left"],
    ["cut 6", "level from left to upper right or lower right"],
    ["cut 7", "descending from above to upper left or upper right"],
  ])("%s is %s", (name, expected) => {
    expect(geometry("sabre", name)).toBe(expected);
    expect(word("sabre", name).means?.form).toEqual(["cut"]);
  });

  test("cut 7 falls on the head", () => {
    expect(word("sabre", "cut 7").means?.target).toEqual(["head"]);
  });

  const ORDINALS = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh"];
  test.each(ORDINALS.map((ordinal, i) => [i + 1, ordinal] as const))(
    "guard %d meets cut %d",
    (no, ordinal) => {
      expect(openings("sabre", `in ${ordinal} guard`, "manner")).toEqual(
        openings("sabre", `cut ${no}`, "blow"),
      );
      expect(word("sabre", `${ordinal} guard`, "guard").means?.guard).toEqual([`${ordinal} guard`]);
    },
  );

  test("cut 1 falls on the left cheek, cut 2 on the right", () => {
    expect(openings("sabre", "left cheek", "target")).toEqual(openings("sabre", "cut 1", "blow"));
    expect(openings("sabre", "right cheek", "target")).toEqual(openings("sabre", "cut 2", "blow"));
  });

  test("the book speaks of right-handers, so a left-hander's numbered cuts stay unclear", () => {
    for (const no of [1, 2, 3, 4, 5, 6]) expect(word("sabre", `cut ${no}`).turns).toBe("unclear");
    expect(word("sabre", "cut 7").turns).toBeUndefined();
  });

  test("the hanging guard meets every cut at the left side, and cut 7, and no other", () => {
    const covered = openings("sabre", "in the hanging guard", "manner");
    const met = ORDINALS.map((_, i) => i + 1).filter((no) =>
      openings("sabre", `cut ${no}`, "blow").some((opening) => covered.includes(opening)),
    );
    expect(met).toEqual([1, 3, 5, 7]);
  });
});

/** C. Roworth, The Art of Defence on Foot, 1798 (seen): six cuts, not seven. */
test("cut 7 does not stand on Roworth 1798, who has six cuts", () => {
  const { words, sources } = lexicon("sabre");
  expect(sources["roworth"]).toMatch(/1798.*six cuts, not seven/);
  expect(words.filter((one) => one.source === "roworth" && one.class === "blow")).toEqual([]);
  expect(word("sabre", "cut 7").source).toBe("allanson");
});

/** Giovanni dall'Agocchie, Dell'Arte di Scrimia, 1572 (seen). */
describe("the cuts and thrusts of dall'Agocchie 1572", () => {
  test.each([
    ["mandritto", "from right"],
    ["riverso", "from left"],
    ["fendente", "descending"],
    ["mandritto fendente", "descending from right with the true edge"],
    ["mandritto sgualimbro", "descending from right to upper left or lower right with the true edge"],
    ["riverso sgualimbro", "descending from left to upper right or lower left with the true edge"],
    ["tondo", "level"],
    ["mandritto tondo", "level from right with the true edge"],
    ["riverso tondo", "level from left with the true edge"],
    ["ridoppio", "rising with the true edge"],
    ["mandritto ridoppio", "rising from right with the true edge"],
    ["riverso ridoppio", "rising from left with the true edge"],
  ])("%s: %s", (name, expected) => {
    expect(geometry("sidesword", name)).toBe(expected);
    expect(word("sidesword", name)).toMatchObject({ source: "agocchie", means: { form: ["cut"] } });
  });

  test("tramazzone is a cut from a turn of the wrist", () => {
    expect(word("sidesword", "tramazzone").means?.form).toEqual(["cut"]);
    expect(word("sidesword", "tramazzone").gloss).toMatch(/turn of the wrist/);
  });

  test.each([
    ["imbroccata", "descending", /overhand thrust/],
    ["stoccata", "rising", /underhand thrust/],
  ])("%s is a thrust, %s", (name, direction, gloss) => {
    expect(word("sidesword", name).means).toMatchObject({ form: ["thrust"], direction: [direction] });
    expect(word("sidesword", name).gloss).toMatch(gloss);
  });

  test("a mandritto of a kind is a mandritto, and a riverso never is", () => {
    const kinds = word("sidesword", "mandritto").means?.blow ?? [];
    for (const kind of kinds) expect(word("sidesword", kind).stroke).toBe("forehand");
    expect(kinds).toContain("mandritto fendente");
    for (const kind of word("sidesword", "riverso").means?.blow ?? [])
      expect(word("sidesword", kind).stroke).toBe("backhand");
  });
});

/** Joachim Meyer, Gruendtliche Beschreibung, 1570 (by way of a secondary source). */
describe("the openings, cuts and guards of Meyer 1570", () => {
  test.each(["upper left", "upper right", "lower left", "lower right"])("the %s opening", (opening) => {
    expect(word("longsword", `${opening} opening`, "target").means).toEqual({ opening: [opening] });
  });

  test.each([
    ["oberhau", "descending"],
    ["zornhau", "descending from right"],
    ["mittelhau", "level"],
    ["underhau", "rising"],
    ["scheitelhau", "descending from above to upper left or upper right"],
  ])("%s: %s", (name, expected) => {
    expect(geometry("longsword", name)).toBe(expected);
    expect(word("longsword", name)).toMatchObject({ source: "meyer", means: { form: ["cut"] } });
  });

  // Meyer calls the Oberhau Scheitelhau too (from memory).
  test("a scheitelhau is an oberhau, a zornhau is none", () => {
    expect(word("longsword", "oberhau").means?.blow).toEqual(["oberhau", "scheitelhau"]);
  });

  test("the five master cuts are there", () => {
    for (const name of ["zornhau", "krumphau", "zwerchhau", "schielhau", "scheitelhau"])
      expect(word("longsword", name).source).toBe("meyer");
  });

  test.each([
    ["tag", "day"],
    ["ochs", "ox"],
    ["pflug", "plough"],
    ["alber", "fool"],
  ])("the guard %s is %s", (german, english) => {
    expect(word("longsword", german, "guard").name).toBe(english);
  });
});

/** The Italian rapier's four positions of the hand (by way of a secondary source). */
describe("the rapier's hand", () => {
  test.each([
    ["prima", "thumb down"],
    ["seconda", "palm down"],
    ["terza", "thumb up"],
    ["quarta", "palm up"],
  ])("%s: %s", (name, turn) => {
    expect(word("rapier", `hand in ${name}`, "hand").means).toEqual({ hand: [turn] });
    expect(word("rapier", name, "guard").gloss).toMatch(new RegExp(turn));
    expect(word("rapier", `in ${name}`, "manner").means).toEqual({ hand: [turn] });
    expect(word("rapier", `${name} thrust`).means).toEqual({ form: ["thrust"], hand: [turn] });
  });
});

/** John McArthur, The Army and Navy Gentleman's Companion, 1780 (by way of a secondary source). */
describe("the smallsword's parries, McArthur 1780", () => {
  // High inside is the upper left of a right-hander; prone is the palm down, supine the palm up.
  test.each([
    ["carte", "upper left", undefined],
    ["tierce", "upper right", undefined],
    ["prime", "lower left", "palm down"],
    ["half-circle", "lower left", "palm up"],
    ["seconde", "lower right", "palm down"],
    ["octave", "lower right", "palm up"],
  ])("%s covers the %s, the hand %s", (name, opening, hand) => {
    const parry = word("smallsword", `in ${name}`, "manner");
    expect(parry.means?.opening).toEqual([opening]);
    expect(parry.means?.hand).toEqual(hand === undefined ? undefined : [hand]);
    expect(parry.source).toBe("mcarthur");
  });

  test.each([
    ["carte thrust", "in carte"],
    ["tierce thrust", "in tierce"],
    ["seconde thrust", "in seconde"],
    ["octave thrust", "in octave"],
  ])("a %s goes where the parry %s covers", (thrust, parry) => {
    expect(word("smallsword", thrust).means?.opening).toEqual(
      word("smallsword", parry, "manner").means?.opening,
    );
  });

  test("no two parries are the same", () => {
    const parries = lexicon("smallsword").words.filter(
      (one) => one.class === "manner" && one.source === "mcarthur",
    );
    expect(parries).toHaveLength(6);
    expect(new Set(parries.map((one) => JSON.stringify(one.means))).size).toBe(6);
  });
});
