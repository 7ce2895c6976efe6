/** The finished pages: what they say, to whom, and that they obey the strict policy of the server. */
import { describe, expect, test } from "vitest";
import { clockText, clockWords } from "../../table-ui/screens/paint/clock.ts";
import { fencerPage, fencerParts } from "../../table-ui/screens/paint/fencer.ts";
import { html, raw } from "../../table-ui/screens/paint/markup.ts";
import { ENTRIES, paintPages, readManifest, type Manifest } from "../../table-ui/screens/paint/page.ts";
import { fit, wallPage, wallParts, wallShape } from "../../table-ui/screens/paint/wall.ts";
import { bout, EIGHT, fencer, FENCER_VIEWS, TEN, WALL_VIEWS } from "../support/fixtures.ts";

const manifest: Manifest = {
  ...Object.fromEntries(
    ENTRIES.map((name) => [
      name,
      name === "style" || name === "type"
        ? { file: `assets/${name}-1.css`, name, isEntry: true }
        : {
            file: `assets/${name}-1.js`,
            name,
            isEntry: true,
            imports: ["_link"],
            css: [`assets/${name}-1.css`],
          },
    ]),
  ),
  _link: { file: "assets/link-1.js", name: "link", css: ["assets/link-1.css"] },
};
const pages = paintPages(readManifest(manifest));
const latestSaid = (latest?: string): string =>
  text(
    fencerParts(FENCER_VIEWS.during, { now: EIGHT, ...(latest && { latest }) }).find(
      ([name]) => name === "latest",
    )?.[1].markup ?? "",
  );
const text = (markup: string): string => markup.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");

describe("markup", () => {
  test("whatever is not markup is escaped, in text and in attributes", () => {
    expect(html`<b title="${'"x"'}">${"<i>"}</b>`.markup).toBe('<b title="&quot;x&quot;">&lt;i&gt;</b>');
    expect(html`${[html`<i>${1}</i>`, undefined, false, raw("<hr>")]}`.markup).toBe("<i>1</i><hr>");
  });

  test("an object that only looks like markup is not taken for it", () => {
    const forged = { markup: "<script>" } as unknown as string;
    expect(() => html`${forged}`.markup).toThrow();
  });

  test("line breaks of the source are layout beside tags and spaces inside text", () => {
    expect(
      html`<p>
        Next:
        <b>${"A"}</b>
        ${"B"}
      </p>`.markup,
    ).toBe("<p>Next:<b>A</b>B</p>");
  });
});

describe("every document", () => {
  const documents: readonly (readonly [string, string])[] = [
    ...Object.entries(FENCER_VIEWS).map(([name, view]) => [`fencer ${name}`, pages.fencer(view)] as const),
    ...Object.entries(WALL_VIEWS).map(([name, view]) => [`wall ${name}`, pages.wall(view)] as const),
    ["coach", pages.app("coach", "Coach")],
    ["lost", pages.lost("unknown")],
    ["replaced", pages.lost("revoked")],
    ["style", pages.style()],
  ];

  test.each(documents)("%s has no inline style and no inline script", (_name, page) => {
    expect(page).not.toMatch(/\sstyle=|<style|\son\w+=|javascript:/);
    for (const [script] of page.matchAll(/<script[^>]*>[^<]*/g))
      expect(script).toMatch(/ src="\/assets\/[^"]+">$/);
  });

  test.each(documents)("%s has a language, a title, one main and unique parts", (_name, page) => {
    expect(page).toMatch(/^<!doctype html><html lang="en">/);
    expect(page).toMatch(/<title>[^<]+<\/title>/);
    expect(page.match(/<main/g)).toHaveLength(1);
    const parts = [...page.matchAll(/data-part="([^"]*)"/g)].map(([, name]) => name);
    expect(new Set(parts).size).toBe(parts.length);
  });

  test("names and titles cannot become tags", () => {
    const name = "<img src=x onerror=alert(1)>";
    expect(pages.fencer(fencer({ name, bout: bout(TEN) }))).not.toContain("<img");
    expect(pages.app("coach", name)).not.toContain("<img");
  });

  test("an entry brings its script, what that imports, and all their styles", () => {
    const page = pages.wall(WALL_VIEWS.two);
    for (const file of ["wall-1.js", "link-1.js", "wall-1.css", "link-1.css", "type-1.css"])
      expect(page).toContain(`/assets/${file}`);
  });

  test("on the fencer's phone the type comes last", () => {
    expect(pages.fencer(FENCER_VIEWS.during)).toContain('href="/assets/type-1.css" media="print"');
  });

  test("a build without an entry is refused by name", () => {
    expect(() => readManifest({})).toThrow('no entry "fencer"');
  });
});

describe("the fencer's page", () => {
  test("during: where I stand, the latest award and why, what pays, when I am on", () => {
    const said = text(fencerPage(FENCER_VIEWS.during));
    for (const words of [
      "Ring 1, exchange 7",
      "0:48 left, halted",
      "Mira, you are Red",
      "Teo hit your arm.",
      "did Teo parry before this hit?",
      "Parry the cut, then land your riposte",
      "Then you fence Ilse V. on Ring 2.",
      "after 2 bouts",
    ])
      expect(said).toContain(words);
  });

  test("the latest is the newest that has something to tell, unless an older one has just changed", () => {
    expect(latestSaid()).toContain("Exchange 5");
    expect(latestSaid("x2")).toContain("Exchange 2");
  });

  test("after: the thread hangs down, a sentence an award, and nobody is ranked", () => {
    const page = fencerPage(FENCER_VIEWS.after);
    const said = text(page);
    expect(page.match(/<li data-x=/g)).toHaveLength(10);
    for (const words of [
      "You won, 8 to 6",
      "Put right by judge 1: saw the parry.",
      "Teo B.: warning.",
      "Only you and your coach see this.",
    ])
      expect(said).toContain(words);
    expect(said).not.toMatch(/rank|best|place \d/i);
    expect(said).not.toContain("What pays tonight");
  });

  test("who has agreed is not asked again", () => {
    expect(fencerPage(FENCER_VIEWS.after)).toContain("data-agree");
    expect(fencerPage(FENCER_VIEWS.agreed)).not.toContain("data-agree");
  });

  test("forms are inert until the page is live", () => {
    for (const view of [FENCER_VIEWS.after, FENCER_VIEWS.choosing]) {
      const page = fencerPage(view);
      expect(page).toContain("<form");
      expect(page.match(/<form/g)?.length).toBe(page.match(/<fieldset data-live disabled>/g)?.length);
    }
  });

  test("a closed sealed choice can be read but not changed; an open one can", () => {
    expect(text(fencerPage(FENCER_VIEWS.sealed))).toContain("Opening sealed: high left");
    expect(fencerPage(FENCER_VIEWS.sealed)).not.toContain("data-pick");
    expect(fencerPage(FENCER_VIEWS.choosing).match(/type="radio"/g)).toHaveLength(4);
  });

  test("a sealed exchange says no award", () => {
    const said = text(fencerPage(FENCER_VIEWS.sealed));
    expect(said).toContain("Sealed until the choices are shown.");
    expect(said).not.toContain("touch: 3 points.");
  });
});

describe("the wall", () => {
  test("rings, names, what pays said once, who is next", () => {
    const said = text(wallPage(WALL_VIEWS.two));
    for (const words of ["Ring 1", "Mira H.", "Wim D.", "Next: Bram O. and Ilse V.", "Until 20:45"])
      expect(said).toContain(words);
    expect(said.match(/Parry the cut and stay unhit/g)).toHaveLength(1);
  });

  test("rings under different rule sets each say what pays there", () => {
    const said = text(wallPage(WALL_VIEWS.long));
    expect(said).toMatch(/Ring 1 .*Keep the blade in contact.* Ring 2 .*A stop-cut to the arm/);
  });

  test("a ring without a bout says so and who comes", () => {
    const said = text(wallPage(WALL_VIEWS.empty));
    expect(said).toContain("No bout on this ring now.");
    expect(said).toContain("Next: Bram O. and Ilse V.");
  });

  test("a longer name is never larger", () => {
    const sizes = [
      "Mira H.",
      "Noor Castell",
      "Bram Oyelaran",
      "Alessandro Della Rovere",
      "Wilhelmina Featherstone-Okonkwo",
    ].map(fit);
    expect(sizes).toEqual([...sizes].sort((a, b) => a - b));
    expect(sizes[0]).toBe(1);
    expect(sizes.at(-1)).toBe(6);
  });

  test("only the clock changes while a clock runs", () => {
    const then = new Map(wallParts(WALL_VIEWS.two, EIGHT).map(([name, part]) => [name, part.markup]));
    const changed = wallParts(WALL_VIEWS.two, EIGHT + 5_000).filter(
      ([name, part]) => then.get(name) !== part.markup,
    );
    expect(changed.map(([name]) => name)).toEqual(["r2 clock"]);
  });

  test("the wall is built anew only when a ring or its bout comes or goes", () => {
    expect(wallShape(WALL_VIEWS.two)).toBe("r1:bout r2:bout");
    expect(wallShape(WALL_VIEWS.empty)).not.toBe(wallShape(WALL_VIEWS.two));
  });
});

describe("the clock", () => {
  const down = { running: true, leftMs: 61_000, since: EIGHT, counts: "down" } as const;
  test("counts by itself from the server's time, and a second is shown until it has passed", () => {
    expect([0, 1, 1_000, 60_999, 61_000, 90_000].map((ms) => clockText(down, EIGHT + ms))).toEqual([
      "1:01",
      "1:01",
      "1:00",
      "0:01",
      "0:00",
      "0:00",
    ]);
  });
  test("stands while halted, and counts up where the bout has no limit", () => {
    expect(clockText({ ...down, running: false }, EIGHT + 30_000)).toBe("1:01");
    expect(clockWords({ running: true, leftMs: 0, since: EIGHT, counts: "up" }, EIGHT + 131_900)).toBe(
      "2:11 fenced",
    );
  });
});
