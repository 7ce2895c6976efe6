import { describe, expect, test } from "vitest";
import { applyFacts } from "../../../rules/award/facts.ts";
import { scoreBout } from "../../../rules/award/score.ts";
import { readRuleSet } from "../../../rules/language/read.ts";
import type { Question, Tally } from "../../../rules/award/tally.ts";
import { result, scoreOf, scorerOf, sheetOf, tallyOf } from "../../support/score.ts";

const paying = (when: string, pays = "1 bonus to me"): string =>
  `rules: [{name: It, when: "${when}", pays: "${pays}"}]`;
const bonus = (when: string, bout: string, pays?: string): string =>
  scoreOf(paying(when, pays), bout).split("bonus ")[1] ?? "";
/** How many awards wait for an answer. */
const open = (when: string, bout: string): number => tallyOf(scorerOf(paying(when)), bout).open;
const asked = (when: string, bout: string): readonly Question[] =>
  tallyOf(scorerOf(paying(when)), bout).questions;
const told = (when: string, bout: string): readonly string[] =>
  tallyOf(scorerOf(paying(when)), bout).awards.map(({ sentence }) => sentence);

/** The tally after these answers, given by their labels to the first question that has them. */
function answered(when: string, bout: string, ...labels: readonly string[]): Tally {
  const scorer = scorerOf(paying(when));
  let sheet = sheetOf(scorer, bout);
  for (const label of labels) {
    const { questions } = scoreBout(scorer, sheet);
    const question = questions.find(({ answers }) => answers.some((one) => one.label === label));
    if (!question) throw new Error(`nothing to answer with "${label}": ${JSON.stringify(questions)}`);
    const facts = question.answers.find((one) => one.label === label)?.facts ?? [];
    sheet = sheet.map((line) =>
      line.type === "exchange" && line.no === question.exchange ? applyFacts(line, facts) : line,
    );
  }
  return scoreBout(scorer, sheet);
}

function faultsOf(text: string): readonly string[] {
  const read = readRuleSet(`name: Test\n${text}`);
  return read.ok ? read.warnings.map(({ code }) => code) : read.faults.map(({ code }) => code);
}

describe("within and after: how long after the step before", () => {
  const soon = "I parry, then within 2 s I hit";
  const late = "I parry, then after 3 s or more I hit";

  test("the time is the sum of all that was written between the two", () => {
    expect(bonus(soon, "1 B cut head, R parry, 1.5 s later R cut head ! .")).toBe("1-0");
    expect(bonus(soon, "1 R parry, 0.8 s later B cut arm, 1.2 s later R cut head ! .")).toBe("1-0");
    expect(bonus(soon, "1 R parry, 0.8 s later B cut arm, 1.3 s later R cut head ! .")).toBe("0-0");
    expect(bonus(late, "1 B cut head, R parry, 3 s later R cut head ! .")).toBe("1-0");
    expect(bonus(late, "1 B cut head, R parry, 2.9 s later R cut head ! .")).toBe("0-0");
  });

  test("tenths of a second add up exactly", () => {
    const three = "1 R parry, 0.1 s later B cut head, 0.2 s later R cut head ! .";
    expect(bonus("I parry, then within 0.3 s I hit", three)).toBe("1-0");
    expect(bonus("I parry, then after 0.3 s or more I hit", three)).toBe("1-0");
  });

  test("of several earlier ones any that fits will do", () => {
    const twice = "1 R parry, 4 s later R parry, 1 s later R cut head ! .";
    expect(bonus(soon, twice)).toBe("1-0");
    expect(bonus(late, twice)).toBe("1-0");
    expect(bonus("I parry, then after 6 s or more I hit", twice)).toBe("0-0");
  });

  test("at once asks for the order, within for the time", () => {
    const when = "I parry, at once within 1 s I riposte and hit";
    expect(bonus(when, "1 R parry, 1 s later R riposte head ! .")).toBe("1-0");
    expect(bonus(when, "1 R parry, 1.1 s later R riposte head ! .")).toBe("0-0");
    expect(bonus(when, "1 R parry, 0.2 s later B void, 0.2 s later R riposte head ! .")).toBe("0-0");
  });

  test("a time inside a named phrase, and one that leads to it", () => {
    const text = (when: string): string =>
      `phrases: {answer: "I parry, then within 1 s I hit"}\n${paying(when)}`;
    const bout = "1 B cut head, 2 s later R parry, 1 s later R cut head ! .";
    expect(scoreOf(text("I make the answer"), bout)).toContain("bonus 1-0");
    expect(scoreOf(text("they cut, then within 2 s I make the answer"), bout)).toContain("bonus 1-0");
    expect(scoreOf(text("they cut, then within 1.9 s I make the answer"), bout)).toContain("bonus 0-0");
  });

  test("seconds that nobody wrote are unknown, unless the others decide", () => {
    expect(open(soon, "1 R parry, R cut head ! .")).toBe(1);
    expect(open(soon, "1 R parry, B cut arm, 2.5 s later R cut head ! .")).toBe(0);
    expect(bonus(late, "1 R parry, B cut arm, 3 s later R cut head ! .")).toBe("1-0");
    expect(open(soon, "1 R parry, B cut arm, 1.5 s later R cut head ! .")).toBe(1);
    // Something may have come between the parry, if there was one, and the first that was recorded.
    expect(open(soon, "1 R cut head !")).toBe(1);
  });

  test("it is asked how long, and each answer settles it", () => {
    const bout = "1 R parry, R cut head ! .";
    const [question, ...more] = asked(soon, bout);
    expect(more).toEqual([]);
    expect(question?.text).toBe("Exchange 1: how long after Red's parry did Red's cut come?");
    expect(question?.answers.map(({ label }) => label)).toEqual(["within 2 s", "later"]);
    expect(result(answered(soon, bout, "within 2 s"))).toBe("points 0-0 bonus 1-0");
    expect(result(answered(soon, bout, "later"))).toBe("points 0-0 bonus 0-0");
    expect(answered(soon, bout, "later").open).toBe(0);
    const between = "1 R parry, 0.5 s later B void, R cut head ! .";
    expect(asked(soon, between)[0]?.answers.map(({ label }) => label)).toEqual(["within 1.5 s", "later"]);
    expect(asked(late, bout)[0]?.answers.map(({ label }) => label)).toEqual(["less than 3 s", "later"]);
  });

  test("where two numbers are missing they are asked for one after the other", () => {
    const bout = "1 R parry, B void, R cut head ! .";
    expect(asked(soon, bout).length).toBe(2);
    expect(asked(soon, bout)[0]?.answers.map(({ label }) => label)).toEqual([
      "at once",
      "1 s",
      "2 s",
      "later",
    ]);
    expect(answered(soon, bout, "later").open).toBe(0);
    const half = answered(soon, bout, "1 s");
    expect(half.questions[0]?.answers.map(({ label }) => label)).toEqual(["within 1 s", "later"]);
    expect(result(answered(soon, bout, "1 s", "within 1 s"))).toBe("points 0-0 bonus 1-0");
  });

  test("a correction of the line is scored anew", () => {
    expect(
      bonus(soon, "1 R parry, 3 s later R cut head ! .\nagain 1 R parry, 2 s later R cut head ! ."),
    ).toBe("1-0");
  });

  test("the sentence says the time", () => {
    expect(told(soon, "1 B cut head, R parry, 1 s later R cut head ! .")).toEqual([
      "It: Red parried, then within 2 s hit the head with a cut: 1 bonus.",
    ]);
    // Of two parries the one is told that was in time.
    expect(
      told(late, "1 R parry blade, 4 s later R parry arm, 1 s later R cut head ! .".replace(" blade", "")),
    ).toEqual(["It: Red parried, then after 3 s or more hit the head with a cut: 1 bonus."]);
  });

  test("each time counts every last step that came in time", () => {
    const bout = "1 R parry, 1 s later R cut head, 1 s later R cut arm, 1 s later R cut leg .";
    expect(bonus("I parry, then within 2 s I cut", bout, "1 bonus to me each time")).toBe("2-0");
    expect(bonus("I parry, then after 2 s or more I cut", bout, "1 bonus to me each time")).toBe("2-0");
  });
});

describe("never, for a time only", () => {
  const quiet = "I hit, then within 2 s they never hit";

  test("until the halt", () => {
    expect(bonus(quiet, "1 R cut head !, 1 s later B cut arm ! .")).toBe("0-1");
    expect(bonus(quiet, "1 R cut head !, 2.1 s later B cut arm ! .")).toBe("1-1");
    expect(open(quiet, "1 R cut head !, B cut arm ! .")).toBe(1);
    expect(open(quiet, "1 R cut head !, 2.1 s later B void, B cut arm ! .")).toBe(0);
  });

  test("between two actions; an earlier one may have outlived it", () => {
    const calm = "I feint, then within 1 s they never parry, then within 3 s I hit";
    expect(bonus(calm, "1 R feint, 0.5 s later B parry, 1 s later R cut head ! .")).toBe("0-0");
    expect(bonus(calm, "1 R feint, 1.5 s later B parry, 1 s later R cut head ! .")).toBe("1-0");
    expect(bonus(calm, "1 R feint, 1.2 s later R feint, 0.5 s later B parry, 1 s later R cut head ! .")).toBe(
      "1-0",
    );
    expect(bonus(calm, "1 R feint, 1.2 s later R feint, 0.5 s later B parry, 2 s later R cut head ! .")).toBe(
      "0-0",
    );
  });
});

describe("next: that fencer's own very next action", () => {
  const when = "I parry, next I riposte and hit";

  test("whatever the other does between", () => {
    expect(bonus(when, "1 R parry, B void, B cut arm, R riposte head ! .")).toBe("1-0");
    expect(bonus(when, "1 R parry, R feint, R riposte head ! .")).toBe("0-0");
    expect(bonus(when, "1 R parry, RB withdraw, R riposte head ! .")).toBe("0-0");
    expect(bonus(when, "1 R parry, R feint, R parry, B void, R riposte head ! .")).toBe("1-0");
  });

  test("of the other fencer, and of both", () => {
    expect(bonus("I hit, next they withdraw", "1 R cut head !, R feint, B withdraw .")).toBe("1-0");
    expect(bonus("I hit, next they withdraw", "1 R cut head !, B parry, B withdraw .")).toBe("0-0");
    expect(bonus("I parry, next we both withdraw", "1 R parry, RB withdraw .")).toBe("1-0");
    expect(bonus("I parry, next we both withdraw", "1 R parry, B void, RB withdraw .")).toBe("0-0");
  });

  test("in time", () => {
    const soon = "I parry, next within 1 s I riposte and hit";
    expect(bonus(soon, "1 R parry, 0.5 s later B void, 0.5 s later R riposte head ! .")).toBe("1-0");
    expect(bonus(soon, "1 R parry, 0.5 s later B void, 0.6 s later R riposte head ! .")).toBe("0-0");
  });
});

describe("for so many seconds or less", () => {
  test("a length that nobody wrote is asked for", () => {
    const when = "I wait for 5 s or less";
    expect(bonus(when, "1 R wait for 5 s .")).toBe("1-0");
    expect(bonus(when, "1 R wait for 6 s .")).toBe("0-0");
    expect(asked(when, "1 R wait .").map(({ text }) => text)).toEqual([
      "Exchange 1: did Red's wait last 5 s or less?",
    ]);
    expect(result(answered(when, "1 R wait .", "Yes"))).toBe("points 0-0 bonus 1-0");
    expect(answered(when, "1 R wait .", "No").open).toBe(0);
  });
});

describe("the same target, another target: compared with that fencer's latest strike or feint", () => {
  const another = "I hit another target";

  test("with the own one before it in this exchange", () => {
    expect(bonus(another, "1 R feint cut head, B parry, R cut arm ! .")).toBe("1-0");
    expect(bonus(another, "1 R cut head, R cut head ! .")).toBe("0-0");
    // Only the latest counts.
    expect(bonus(another, "1 R cut arm, R cut head, R cut arm ! .")).toBe("1-0");
    expect(bonus("I hit the same target", "1 R cut arm, R cut head, R cut arm ! .")).toBe("0-0");
  });

  test("none before it: it matches nothing, but it is not the same either", () => {
    expect(bonus(another, "1 B cut head, R cut arm ! .")).toBe("0-0");
    expect(bonus("I hit the same target", "1 R cut arm ! .")).toBe("0-0");
    expect(bonus("I hit anything but the same target", "1 R cut arm ! .")).toBe("1-0");
    expect(bonus(another, "1 R cut head ! .\n2 R cut arm ! .")).toBe("0-0");
  });

  test("with the other's", () => {
    expect(bonus("I hit the same target as theirs", "1 B cut arm, R cut arm ! .")).toBe("1-0");
    expect(bonus("I hit the same target as theirs", "1 B cut head, R cut arm ! .")).toBe("0-0");
    expect(bonus("they hit the same target", "1 B feint cut arm, B cut arm ! .")).toBe("1-0");
  });

  test("a blow, a guard, a hand, an opening", () => {
    const weapon = "weapon: longsword\n";
    const bout = "1 R zornhau head, R zornhau arm ! .";
    expect(scoreOf(weapon + paying("I hit with the same blow"), bout)).toContain("bonus 1-0");
    expect(scoreOf(weapon + paying("I hit with another blow"), bout)).toContain("bonus 0-0");
    expect(
      scoreOf(weapon + paying("I hit from another guard"), "1 R cut head from ochs, R cut head from tag ! ."),
    ).toContain("bonus 1-0");
    expect(bonus("I strike with another form and hit", "1 R cut head, R thrust head ! .")).toBe("1-0");
  });

  test("what nobody recorded is unknown", () => {
    expect(open(another, "1 R cut head, R cut ! .")).toBe(1);
    expect(open(another, "1 R cut, R cut arm ! .")).toBe(1);
    // Red may have struck before the first that was recorded.
    expect(open(another, "1 R cut arm !")).toBe(1);
    expect(open(another, "1 R cut head, R cut arm !")).toBe(0);
  });

  test("words that may mean the same: face may be the head that was recorded before", () => {
    expect(open(another, "1 R cut head, R cut face ! .")).toBe(1);
    expect(open(another, "1 R cut head, R cut leg ! .")).toBe(0);
    expect(bonus(another, "1 R cut throat, R cut face ! .")).toBe("1-0");
    const [question] = asked(another, "1 R cut head, R cut face ! .");
    expect(question?.text).toBe("Exchange 1: what was the target of Red's first cut?");
    expect(result(answered(another, "1 R cut head, R cut face ! .", "throat"))).toBe("points 0-0 bonus 1-0");
    expect(result(answered(another, "1 R cut head, R cut face ! .", "face"))).toBe("points 0-0 bonus 0-0");
  });

  test("twice the same word is the same, unless the rule set itself tells finer ones apart", () => {
    const finer = `rules: [{name: It, when: "${another}", pays: 1 bonus to me}, {name: Face, when: I feint to the face, pays: 1 bonus to me}]`;
    expect(tallyOf(scorerOf(finer), "1 R cut head, R cut head ! .").open).toBe(1);
    expect(tallyOf(scorerOf(finer), "1 R cut arm, R cut arm ! .").open).toBe(0);
  });

  test("it is asked whether there was an earlier one", () => {
    const texts = asked(another, "1 R cut arm !").map(({ text }) => text);
    expect(texts).toEqual(["Exchange 1: did Red strike or feint before this hit?"]);
    expect(answered(another, "1 R cut arm !", "No").open).toBe(0);
    expect(result(answered(another, "1 R cut arm !", "A feint", "head"))).toBe("points 0-0 bonus 1-0");
  });

  test("the sentence says so", () => {
    expect(told(another, "1 R feint cut head, R cut arm ! .")).toEqual([
      "It: Red hit the arm with a cut, another target than before: 1 bonus.",
    ]);
  });
});

describe("at that moment: a note or a set with this exchange's earlier actions in it", () => {
  const note = `
marks: {last target: {is: a note for each fencer, changes: [becomes the target when I strike]}}
rules:
  - {name: Moment, when: I hit anything but my last target at that moment, pays: 1 bonus to me}
  - {name: Before, when: I hit anything but my last target, pays: 1 point to me}`;

  test("just before the action, not at the exchange's beginning", () => {
    expect(scoreOf(note, "1 R cut head .\n2 R cut arm, R cut arm ! .")).toBe("points 1-0 bonus 0-0");
    expect(scoreOf(note, "1 R cut head .\n2 R cut arm, R cut head ! .")).toBe("points 0-0 bonus 1-0");
    expect(scoreOf(note, "1 R cut head .\n2 R cut arm ! .")).toBe("points 1-0 bonus 1-0");
  });

  test("what was not recorded stays open", () => {
    expect(tallyOf(scorerOf(note), "1 R cut head .\n2 R cut, R cut arm ! .").open).toBe(1);
  });

  test("a set; theirs; one that both share", () => {
    const set = `
marks: {targets: {is: a set for each fencer, changes: [gains the target when I strike]}}
rules: [{name: New, when: I hit anything but one of my targets at that moment, pays: 1 bonus to me}]`;
    expect(scoreOf(set, "1 R cut head, R cut arm, R cut leg ! .")).toBe("points 0-0 bonus 1-0");
    expect(scoreOf(set, "1 R cut head, R cut arm, R cut head ! .")).toBe("points 0-0 bonus 0-0");
    const theirs = `
marks: {mine: {is: a note for each fencer, changes: [becomes the target when I hit]}}
rules: [{name: Answered, when: I hit their mine at that moment, pays: 1 bonus to me}]`;
    expect(scoreOf(theirs, "1 B cut arm !, R cut arm ! .")).toBe("points 0-0 bonus 1-0");
    const shared = `
marks: {place: {is: a note for the bout, changes: [becomes the target when I hit]}}
rules: [{name: There, when: I hit the place at that moment, pays: 1 bonus to me}]`;
    expect(scoreOf(shared, "1 B cut arm !, R cut arm ! .")).toBe("points 0-0 bonus 1-0");
  });

  test("a note that changes only under a condition", () => {
    const text = `
marks: {last: {is: a note for each fencer, changes: ["becomes the target when I strike, and I am behind"]}}
rules: [{name: It, when: I hit my last at that moment, pays: 1 bonus to me}]
touches: {I hit: 1}`;
    expect(scoreOf(text, "1 R cut arm, R cut arm ! .")).toBe("points 1-0 bonus 0-0");
    expect(scoreOf(text, "1 B cut arm ! .\n2 R cut arm, R cut arm ! .")).toBe("points 1-1 bonus 1-0");
  });
});

describe("what is refused, and what can never pay", () => {
  test.each([
    [paying("they never feint, then within 2 s I hit"), "time-of-nothing"],
    [paying("I feint, then after 2 s or more they never parry, then I hit"), "never-after"],
    [paying("I parry, next I never cut, then I hit"), "never-next"],
    [paying("I hit, then within 2 s they never hit", "1 bonus to me each time"), "time-at-the-end"],
    [paying("I hit with another target"), "wrong-kind"],
    [paying("first I strike to another target"), "never-true"],
    [paying("I begin with another form"), "never-true"],
    [paying("I wait for 5 s or more for 3 s or less"), "never-true"],
  ])("%s", (text, code) => {
    expect(faultsOf(text)).toContain(code);
  });

  test("I hit another target, as a step alone, is fine", () => {
    expect(faultsOf(paying("I hit another target"))).not.toContain("never-true");
  });
});
