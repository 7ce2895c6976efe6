import { describe, expect, test } from "vitest";
import { explain, type Explanation } from "../../rules/language/explain.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import { formatFaults } from "../../rules/language/faults.ts";

/** Reads a rule set that must be without faults, and reads it back. */
function readBack(text: string): Explanation {
  const outcome = readRuleSet(text, "test.yaml");
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return explain(outcome.value);
}

const TOUCHES = `
touches:
  I hit the head: 3
  I hit the torso: 2
  I hit the arm or leg: 1
`;

/** The read-back of one rule, with the touches above. */
function rule(lines: string, more = ""): { readonly sentence: string; readonly short: string } {
  const indented = lines
    .trim()
    .split("\n")
    .map((line) => `    ${line}`)
    .join("\n");
  const text = `name: One rule\nweapon: longsword\n${more}${TOUCHES}rules:\n  - name: The rule\n${indented}\n`;
  const [said] = readBack(text).rules;
  if (said === undefined) throw new Error("no rule came back");
  return said;
}
const sentence = (lines: string, more = ""): string => rule(lines, more).sentence;
const short = (lines: string, more = ""): string => rule(lines, more).short;

describe("what a fencer should do is said as a command", () => {
  test("their attack and my parry become one thing to do", () => {
    expect(
      sentence(`
when: they strike to the head with a descending cut, then I parry, then I riposte and hit
pays: 2 bonus to me
at most: 4 bonus a bout
watch: judge 1`),
    ).toBe(
      "Parry a descending cut to the head, then land a riposte: 2 bonus to you, at most 4 a bout; judge 1 watches.",
    );
  });

  test("what the opponent does first, and cannot be parried, opens with when", () => {
    expect(
      sentence(`
when: they feint, then I stop-hit with a cut to the arm and hit
unless: they hit
pays: 2 bonus to me`),
    ).toBe("When they feint, land a stop-hit with a cut to the arm and stay unhit: 2 bonus to you.");
  });

  test("three actions of one's own are three commands", () => {
    expect(sentence("when: I cut, then I cut, then I hit with a thrust\npays: 2 bonus to me")).toBe(
      "Cut, then cut, then hit with a thrust: 2 bonus to you.",
    );
  });

  test("at once is not then", () => {
    expect(sentence("when: they strike to the head, at once I parry\npays: 0.5 bonus to me each time")).toBe(
      "Parry a strike to the head at once: 0.5 bonus to you each time.",
    );
  });

  test("a phrase that the rule set names is laid out, and turned round for the opponent", () => {
    const phrases = "phrases:\n  theme: I cut to the leg\n";
    expect(
      sentence(
        "when: they make the theme, then I parry or void\nunless: they hit\npays: 1 bonus to me",
        phrases,
      ),
    ).toBe("Parry or void a cut to the leg and stay unhit: 1 bonus to you.");
  });

  test("the cue is given, and said", () => {
    const phrases = "phrases:\n  cue: I strike to the head with a descending cut\n";
    const said = rule("when: I make the cue\npays: 1 bonus to me", phrases);
    expect(said.sentence).toBe("Give the cue, a descending cut to the head: 1 bonus to you.");
    expect(said.short).toBe("Give the cue: a descending cut to the head");
  });

  test("a condition stands in front", () => {
    expect(sentence("when: I hit with a lunge\nif: I am behind\ndoes: double my points")).toBe(
      "If you are behind, hit with a lunge: your points are doubled.",
    );
  });
});

describe("never is said where it holds", () => {
  test("until the halt", () => {
    expect(sentence("when: I hit, then I withdraw, then they never hit\npays: 1 bonus to me")).toBe(
      "Hit, then withdraw, and do not be hit after that: 1 bonus to you.",
    );
  });
  test("in between", () => {
    expect(
      sentence("when: I parry, then they never feint, then I riposte and hit\npays: 1 bonus to me"),
    ).toBe("Parry, then land a riposte, as long as they do not feint in between: 1 bonus to you.");
  });
  test("before", () => {
    expect(sentence("when: they never parry, then I parry\npays: 1 bonus to me")).toBe(
      "Parry, as long as they do not parry first: 1 bonus to you.",
    );
  });
});

describe("what takes away is never put as a command", () => {
  test("a bonus off", () => {
    expect(
      sentence(
        "when: they feint, then I stop-hit with a cut to the arm and hit\nif: they hit\npays: -1 bonus to me",
      ),
    ).toBe(
      "If they feint, then you land a stop-hit with a cut to the arm, and they hit you: 1 bonus off you.",
    );
  });
  test("points that do not count", () => {
    expect(
      sentence("when: they threaten\nif: I hit\nunless: I parry or void, then I hit\ndoes: annul my points"),
    ).toBe("If they threaten, and you hit, unless you parry or void, then hit: your points do not count.");
  });
  test("nothing the first time, then one off", () => {
    expect(sentence("when: I step out\npays: 0, then -1 bonus to me")).toBe(
      "If you step out: nothing the first time, then 1 bonus off you.",
    );
  });
});

describe("[P8] what it pays, to whom, and in which unit", () => {
  test("[P9] by how often", () => {
    expect(sentence("when: I hit with a zwerchhau\npays: 3, 2, 1, then 0 bonus to me")).toBe(
      "Hit with a zwerchhau: 3 bonus to you, then 2, then 1, then nothing.",
    );
  });
  test("one point, two points", () => {
    expect(sentence("when: they cross the feet\npays: 1 point to me")).toBe(
      "When they cross the feet: 1 point to you.",
    );
    expect(sentence("when: they cross the feet\npays: 2 points to me")).toBe(
      "When they cross the feet: 2 points to you.",
    );
  });
  test("to the other one", () => {
    expect(sentence("when: I cross the feet\npays: 1 bonus to them")).toBe(
      "If you cross the feet: 1 bonus to them.",
    );
  });
  test("two limits, with the same partner said plainly", () => {
    expect(
      sentence(
        "when: I riposte and hit\npays: 2 bonus to me\nat most: 4 bonus a bout, 6 bonus a pair tonight",
      ),
    ).toBe("Land a riposte: 2 bonus to you, at most 4 a bout and 6 with the same partner tonight.");
  });
  test("as the judge says", () => {
    const said = sentence(
      `
if: the judge calls praise for me
pays: between 0 and 2 bonus to me as the judge says
at most: once a bout
watch: a second judge assents`,
      "words:\n  praise: a call\n",
    );
    expect(said).toBe(
      "When the judge calls praise for you: between 0 and 2 bonus to you, as the judge says, at most once a bout; a second judge must assent.",
    );
  });
  test("the third double ends it for both", () => {
    const marks =
      "marks:\n  doubles:\n    is: a count for the bout\n    changes:\n      - up 1 when it is a double\n";
    expect(
      sentence("if: it is a double, and the doubles is 3 now\ndoes: end the bout, both lose", marks),
    ).toBe("When it is a double and the doubles, this exchange counted, are 3: the bout ends and both lose.");
  });
});

describe("one line on a phone", () => {
  test("familiar, and about the reader's own actions", () => {
    expect(
      short(
        "when: they strike to the head with a descending cut, then I parry, then I riposte and hit\npays: 2 bonus to me",
      ),
    ).toBe("Parry the cut, then land your riposte");
  });
  test("the opponent's part goes last, staying unhit never goes silently", () => {
    expect(
      short(
        "when: they feint, then I stop-hit with a cut to the arm and hit\nunless: they hit\npays: 2 bonus to me",
      ),
    ).toBe("When they feint, stop-hit and stay unhit");
  });
  test("where no honest line fits, the coach's own name stands", () => {
    const picks =
      "picks:\n  start:\n    by: chance\n    from: [close, wide]\n    when: before each exchange\n";
    expect(
      short(
        "when: I hit\npays:\n  - 1 bonus to me if the start is close\n  - 2 bonus to me if the start is wide",
        picks,
      ),
    ).toBe("The rule");
  });
  test("it is never longer than a line unless the name is", () => {
    const lines = [
      "when: they strike to the leg, then I slip the leg, then I hit the head with a cut\npays: 2 bonus to me",
      "when: I hit with a thrust in one tempo in opposition to the torso cleanly\npays: 2 bonus to me",
      "when: I parry, then they never feint, then I riposte and hit\nif: I am behind by 2 or more\npays: 2 bonus to me",
    ];
    for (const one of lines) expect(short(one).length).toBeLessThanOrEqual(44);
  });
});

describe("the bout and its touches", () => {
  const bout = `name: Bout
weapon: longsword
bout:
  ends:
    - after 10 exchanges
    - after 2 min
    - at 3 doubles, both lose
  afterblows: take off 1
marks:
  blots:
    is: a count for each fencer
    changes:
      - up 1 when it is a double
${TOUCHES}`;
  test("touches of one worth stand together", () => {
    expect(readBack(bout).touches).toEqual(["Head 3, torso 2, arm or leg 1."]);
  });
  test("a touch that asks for more is a sentence of its own", () => {
    const text = "name: T\ntouches:\n  I parry, then I riposte and hit: 1\n  I hit with a thrust: 2\n";
    expect(readBack(text).touches).toEqual([
      "Parry, then land a riposte: 1 point.",
      "Hit with a thrust: 2 points.",
      "The best of these counts, once an exchange.",
    ]);
  });
  test("what ends it, and what bonus decides", () => {
    const said = readBack(bout).bout;
    expect(said).toContain("The bout ends after 10 exchanges, after 2 min or at 3 doubles, both losing.");
    expect(said).toContain("An afterblow takes 1 off the hit.");
    expect(said).toContain("Bonus stays apart and decides nothing.");
    expect(said).toContain("Blots, a count for each fencer: goes up 1 when it is a double.");
  });
  test("a sealed choice says who sees it", () => {
    const text = `name: S
picks:
  prediction:
    by: each fencer
    from: [riposte, cut]
    when: before the bout
    seen by: the fencer
    shown: at the end
touches:
  I hit: 1
`;
    expect(readBack(text).bout).toContain(
      "Before the bout each fencer chooses the prediction: riposte or cut. Only that fencer sees it before the end.",
    );
  });
});

describe("what a coach is warned of", () => {
  const four = ["parry", "void", "feint", "beat"]
    .map((kind) => `  - name: ${kind}\n    when: I ${kind}\n    pays: 1 bonus to me\n    watch: judge 1\n`)
    .join("");
  test("more than three themes", () => {
    const { warnings } = readBack(`name: F\n${TOUCHES}rules:\n${four}`);
    expect(warnings[0]).toMatch(/^4 themes are paid in one bout; above 3/);
  });
  test("three themes are no reason for a warning", () => {
    const three = four.split("  - name: beat")[0] ?? "";
    expect(readBack(`name: F\n${TOUCHES}rules:\n${three}`).warnings).toEqual([]);
  });
  const cover = `name: C\n${TOUCHES}rules:\n  - name: Cover\n    when: I parry, then I riposte and hit\n    pays: 2 bonus to me\n`;
  test("a parry that nobody watches", () => {
    expect(readBack(cover).warnings).toContain(
      'Nobody watches "Cover": a table alone cannot surely see "parry" or "riposte". Write "watch: judge 1".',
    );
    expect(readBack(`${cover}    watch: judge 1\n`).warnings.join()).not.toMatch(/Nobody/);
  });
  test("[S4] the same kind of fact has a watcher wherever it is needed", () => {
    const unhit =
      "    watch: judge 1\n  - name: Unhit\n    when: I parry\n    unless: they hit\n    pays: 1 bonus to me\n";
    const said = readBack(cover + unhit);
    expect(said.warnings.join()).not.toMatch(/Nobody/);
    expect(said.watch).toContain('Judge 1 watches "Unhit": parry.');
  });
  test("tempo needs an expert", () => {
    const text = `name: T\n${TOUCHES}rules:\n  - name: Single time\n    when: I hit with a thrust in one tempo\n    pays: 1 bonus to me\n`;
    expect(readBack(text).warnings.join()).toMatch(/"in one tempo" needs an expert's eye/);
  });
  test("pay for failure: an attack that need not land", () => {
    const attempt = `name: Plain\n${TOUCHES}rules:\n  - name: Try it\n    when: I attack\n    pays: 1 bonus to me\n    watch: judge 1\n`;
    expect(readBack(attempt).warnings).toEqual([
      '"Try it" pays whether the action lands or not. That is right for a cue; for anything else write "and hit".',
    ]);
    expect(readBack(attempt.replace("I attack", "I attack and hit")).warnings.join()).not.toMatch(
      /lands or not/,
    );
  });
  // Indifference at b/(b+x): 2+1 -> 67 %, 2+2 -> 50 %, 1+3 -> 25 %. Common practice, no source.
  test.each([
    ["2", "1", "67"],
    ["2", "2", "50"],
    ["1", "3", "25"],
  ])("base %s and bonus %s pay for a success drop to %s %%", (base, bonus, percent) => {
    const text = `name: B\ntouches:\n  I hit: ${base}\nrules:\n  - name: Theme\n    when: I riposte and hit\n    unless: they hit\n    pays: ${bonus} bonus to me\n    watch: judge 1\n`;
    expect(readBack(text).warnings).toEqual([
      `"Theme": you are paying for a success drop to ${percent} %: with a usual touch worth ${base}, it is worth trying if it works ${percent} % as often.`,
    ]);
  });
  test("a bonus above the dearest touch that is kept when hit invites trading", () => {
    const text = `name: B\ntouches:\n  I hit: 1\nrules:\n  - name: Theme\n    when: I riposte and hit\n    pays: 3 bonus to me\n    watch: judge 1\n`;
    expect(readBack(text).warnings.join()).toMatch(/fencers may trade/);
    expect(readBack(text.replace("    pays", "    unless: they hit\n    pays")).warnings.join()).not.toMatch(
      /trade/,
    );
  });
});

test("the read-back says the seconds and whose next action it is", () => {
  const told = (when: string): string => {
    const read = readRuleSet(
      `name: In time\ntouches: {I hit: 1}\nrules: [{name: In time, when: "${when}", pays: 1 bonus to me}]`,
    );
    if (!read.ok) throw new Error(when);
    return explain(read.value).rules[0]?.sentence ?? "";
  };
  expect(told("I parry, then within 1 s I hit another target")).toBe(
    "Parry, then within 1 s hit another target than before: 1 bonus to you.",
  );
  expect(told("they cut, then within 2 s I parry, next I hit")).toContain(
    "within 2 s parry, next of all hit",
  );
  expect(told("I hit, then within 1 s they never hit")).toContain("within 1 s");
});
