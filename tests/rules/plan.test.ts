import { describe, expect, test } from "vitest";
import { compile } from "../../rules/award/compile.ts";
import { chips, draftLine, draftStart, isReady, press } from "../../rules/award/plan-draft.ts";
import type { Chip, Draft } from "../../rules/award/plan-read.ts";
import { sayAloud, sayNumber } from "../../rules/award/plan-say.ts";
import { pressPlan, type PressPlan } from "../../rules/award/plan.ts";
import { scoreBout } from "../../rules/award/score.ts";
import type { Tally } from "../../rules/award/tally.ts";
import { formatFaults } from "../../rules/language/faults.ts";
import { readRuleSet } from "../../rules/language/read.ts";
import type { BoutSheet } from "../../rules/record.ts";

function planOf(text: string): PressPlan {
  const outcome = readRuleSet(text, "test.yaml");
  if (!outcome.ok) throw new Error(formatFaults(outcome.faults));
  return pressPlan(compile(outcome.value));
}

const labels = (plan: PressPlan): readonly string[] =>
  plan.hits.red.map((key) => `${key.label} ${key.worth}`);
const neither = (plan: PressPlan): readonly string[] => plan.neither.map((key) => key.id);

/** Presses one after the other; chips by "red: NAME OF THE RULE". */
function presses(plan: PressPlan, keys: readonly string[], before: BoutSheet = [], left?: number): Draft {
  return keys.reduce((draft, key) => press(draft, idOf(plan, key)), draftStart(plan, before, left));
}
function idOf(plan: PressPlan, key: string): string {
  const [side, name] = key.split(": ");
  if (name === undefined) return key;
  const chip = plan.chips.find((one) => one.side === side && one.rule === name);
  const hit = [...plan.hits.red, ...plan.hits.blue].find((one) => one.side === side && one.label === name);
  const id = chip?.id ?? hit?.id;
  if (id === undefined) throw new Error(`no key ${key}`);
  return id;
}

const chip = (draft: Draft, key: string): Chip => {
  const found = chips(draft).find((one) => one.id === idOf(draft.plan, key));
  if (found === undefined) throw new Error(`no chip ${key}`);
  return found;
};
const state = (draft: Draft, key: string): string => chip(draft, key).state;

/** The bout after Enter. */
const entered = (draft: Draft, no = 1): Tally =>
  scoreBout(draft.plan.scorer, [...draft.before, draftLine(draft, no)]);
const score = (tally: Tally): string =>
  `points ${tally.points.red}-${tally.points.blue} bonus ${tally.bonus.red}-${tally.bonus.blue} open ${tally.open}`;

const TOUCHES = `touches:
  I hit the head: 3
  I hit the torso: 2
  I hit the arm or leg: 1
`;

const ANSWER = `name: Answer from above
weapon: longsword
phrases:
  cue: I strike to the head with a descending cut
bout:
  ends:
    - after 10 exchanges
    - at 3 doubles, both lose
  afterblows: take off 1
${TOUCHES}rules:
  - name: Parry and riposte
    when: they make the cue, then I parry, then I riposte and hit
    pays: 2 bonus to me
    at most: 6 bonus a bout
  - name: Gave the cue
    when: I make the cue
    pays: 1 bonus to me
`;
const answer = planOf(ANSWER);

describe("the hit keys are what the rule set tells apart", () => {
  test("targets of one worth share a key, the dearest first, the same for both sides", () => {
    expect(labels(answer)).toEqual(["Head 3", "Torso 2", "Arm, leg 1"]);
    expect(answer.hits.blue.map((key) => key.targets)).toEqual([["head"], ["torso"], ["arm", "leg"]]);
    expect(answer.hits.blue.map((key) => key.act.by)).toEqual(["blue", "blue", "blue"]);
  });
  test("where no target is named there is one key", () => {
    expect(labels(planOf("name: Plain\ntouches:\n  I hit: 1\n"))).toEqual(["Hit 1"]);
  });
  test("a rule that names a target needs its key even if the touches do not", () => {
    const text =
      "name: Plain\ntouches:\n  I hit: 1\nrules:\n  - name: Leg\n    when: I hit the leg\n    pays: 1 bonus to me\n";
    expect(labels(planOf(text))).toEqual(["Elsewhere 1", "Leg 1"]);
  });
  test("what scores nothing can still be pressed", () => {
    expect(labels(planOf("name: Plain\ntouches:\n  I hit the head: 1\n"))).toEqual(["Head 1", "Elsewhere 0"]);
  });
  test("touches that tell blows apart have them on the keys", () => {
    const text = "name: Plain\ntouches:\n  I hit with a thrust: 2\n  I hit with a cut: 1\n";
    expect(labels(planOf(text))).toEqual(["Thrust 2", "Cut 1"]);
  });
  test("a thrust that is worth the same everywhere is one key beside the cuts", () => {
    const text = `name: Plain
touches:
  I hit the head with a cut: 2
  I hit the torso, arm or leg with a cut: 1
  I hit with a thrust: 3
`.replace("torso, arm or leg", "torso or arm or leg");
    expect(labels(planOf(text))).toEqual(["Thrust 3", "Head cut 2", "Torso, arm, leg cut 1"]);
  });
  test("only descending cuts score: a key for the others, which score nothing", () => {
    const plan = planOf("name: Plain\ntouches:\n  I hit with a descending cut: 1\n");
    expect(labels(plan)).toEqual(["Descending cut 1", "Other hit 0"]);
    expect(score(entered(presses(plan, ["red: Other hit"])))).toBe("points 0-0 bonus 0-0 open 0");
  });
  test("sealed openings are told apart", () => {
    const text = `name: Plain
weapon: longsword
picks:
  secret opening:
    by: each fencer
    from: [upper left opening, upper right opening, lower left opening, lower right opening]
    when: before the bout
touches:
  I hit: 1
rules:
  - name: Closed opening
    when: they hit my secret opening
    pays: 1 bonus to me
`;
    expect(labels(planOf(text)).length).toBe(4);
  });
  test("a touch that needs more than a hit is a chip", () => {
    const plan = planOf("name: Plain\ntouches:\n  I parry, then I riposte and hit: 1\n");
    expect(labels(plan)).toEqual(["Hit 0"]);
    expect(plan.chips.map((one) => [one.id, one.pay?.amount])).toEqual([
      ["red:touch:0", 1],
      ["blue:touch:0", 1],
    ]);
    const hit = presses(plan, ["red: Hit"]);
    expect(score(entered(hit))).toBe("points 0-0 bonus 0-0 open 0");
    expect(score(entered(press(hit, "red:touch:0")))).toBe("points 1-0 bonus 0-0 open 0");
  });
});

describe("the presses of neither side", () => {
  test("a double and no exchange are always there, an afterblow where it differs", () => {
    expect(neither(answer)).toEqual(["double", "no exchange", "afterblow"]);
  });
  test("an afterblow that scores as a double does, where nobody counts doubles, needs no key", () => {
    expect(neither(planOf("name: Plain\nbout:\n  doubles: both score\ntouches:\n  I hit: 1\n"))).toEqual([
      "double",
      "no exchange",
    ]);
  });
  test("simultaneous only where the rule set asks for it", () => {
    const text = "name: Plain\nbout:\n  simultaneous: both score\ntouches:\n  I hit: 1\n";
    expect(neither(planOf(text))).toContain("simultaneous");
  });
});

describe("who and what in at most three presses, Enter included; a theme in one or two more", () => {
  const enter = 1;
  const who = [
    ["a head hit", ["red: Head"], "points 3-0 bonus 0-0 open 0"],
    ["a leg hit", ["blue: Arm, leg"], "points 0-1 bonus 0-0 open 0"],
    ["a double", ["red: Head", "blue: Torso"], "points 0-0 bonus 0-0 open 0"],
    ["a double, targets untold", ["double"], "points 0-0 bonus 0-0 open 0"],
    ["no exchange", ["no exchange"], "points 0-0 bonus 0-0 open 0"],
    ["an afterblow", ["afterblow", "red: Head"], "points 2-0 bonus 0-0 open 0"],
  ] as const;
  test.each(who)("%s", (_name, keys, tally) => {
    const draft = presses(answer, keys);
    expect(keys.length + enter).toBeLessThanOrEqual(3);
    expect(isReady(draft)).toBe(true);
    expect(score(entered(draft))).toBe(tally);
  });
  const themes = [
    ["parry and riposte to the head", ["red: Head", "red: Parry and riposte"], "points 3-0 bonus 2-1 open 0"],
    ["the cue lands", ["blue: Head", "blue: Gave the cue"], "points 0-3 bonus 0-1 open 0"],
    ["the cue, and nothing lands", ["red: Gave the cue"], "points 0-0 bonus 1-0 open 0"],
    ["the cue against a torso hit", ["red: Torso", "blue: Gave the cue"], "points 2-0 bonus 0-1 open 0"],
  ] as const;
  test.each(themes)("%s", (_name, keys, tally) => {
    const draft = presses(answer, keys);
    expect(keys.length + enter).toBeLessThanOrEqual(4);
    expect(score(entered(draft))).toBe(tally);
  });
});

describe("chips say what follows, what can be and what cannot", () => {
  test("before any press: what can be earned without a hit", () => {
    const draft = draftStart(answer);
    expect(state(draft, "red: Gave the cue")).toBe("idle");
    expect(state(draft, "red: Parry and riposte")).toBe("hidden");
  });
  test("after Red's head: Red may have answered, either may have given the cue, Blue cannot have answered", () => {
    const draft = presses(answer, ["red: Head"]);
    expect(state(draft, "red: Parry and riposte")).toBe("offered");
    expect(state(draft, "red: Gave the cue")).toBe("offered");
    expect(state(draft, "blue: Gave the cue")).toBe("offered");
    expect(state(draft, "blue: Parry and riposte")).toBe("hidden");
  });
  test("a riposte lights the other's cue by itself, and it is not a press", () => {
    const draft = presses(answer, ["red: Head", "red: Parry and riposte"]);
    expect(state(draft, "red: Parry and riposte")).toBe("lit");
    expect(chip(draft, "red: Parry and riposte").pressed).toBe(true);
    expect(state(draft, "blue: Gave the cue")).toBe("lit");
    expect(chip(draft, "blue: Gave the cue").pressed).toBe(false);
    expect(press(draft, idOf(answer, "blue: Gave the cue"))).toBe(draft);
  });
  test("a chip pressed before the key is merged with it", () => {
    const first = presses(answer, ["blue: Gave the cue", "red: Torso", "red: Parry and riposte"]);
    const line = draftLine(first, 1);
    expect(line.acts.length).toBe(3);
    expect(score(entered(first))).toBe("points 2-0 bonus 2-1 open 0");
  });
  test("no exchange: nothing can be earned", () => {
    const draft = presses(answer, ["no exchange"]);
    expect(new Set(chips(draft).map((one) => one.state))).toEqual(new Set(["hidden"]));
  });
  test("what a chip pays here counts caps", () => {
    const riposte = draftLine(presses(answer, ["red: Head", "red: Parry and riposte"]), 1);
    const before = [1, 2, 3].map((no) => ({ ...riposte, no }));
    const draft = presses(answer, ["red: Head", "red: Parry and riposte"], before);
    expect(state(draft, "red: Parry and riposte")).toBe("lit");
    expect(chip(draft, "red: Parry and riposte").now).toBeUndefined();
    expect(chip(draft, "blue: Gave the cue").now).toEqual({ unit: "bonus", amount: 1, to: "blue" });
  });
  test("[P9] a falling bonus shows its next step", () => {
    const plan = planOf(`name: Z
weapon: longsword
touches:
  I hit: 1
rules:
  - name: Zwerchhau
    when: I hit with a zwerchhau
    pays: 3, 2, then 0 bonus to me
`);
    const one = draftLine(presses(plan, ["red: Hit", "red: Zwerchhau"]), 1);
    expect(chip(presses(plan, ["red: Hit"], [one]), "red: Zwerchhau").now?.amount).toBe(2);
  });
  test("unless they hit: hidden in a double, offered alone", () => {
    const plan = planOf(`name: U
${TOUCHES}rules:
  - name: Disarm
    when: I disarm
    unless: they hit
    pays: 2 bonus to me
`);
    expect(state(presses(plan, ["red: Head"]), "red: Disarm")).toBe("offered");
    expect(state(presses(plan, ["red: Head", "blue: Head"]), "red: Disarm")).toBe("hidden");
  });
  test("a role that the fencer does not have hides the chip", () => {
    const plan = planOf(`name: R
marks:
  who attacks:
    is: roles attacker and defender for the bout
    starts: with red
${TOUCHES}rules:
  - name: Drive
    when: I beat, then I hit
    if: I am the attacker
    pays: 1 bonus to me
`);
    expect(state(presses(plan, ["red: Head"]), "red: Drive")).toBe("offered");
    expect(state(presses(plan, ["blue: Head"]), "blue: Drive")).toBe("hidden");
  });
  test("a judge's call is a chip too", () => {
    const plan = planOf(`name: C
words:
  praise: a call
touches:
  I hit: 1
rules:
  - name: Praise
    if: the judge calls praise for me
    pays: between 0 and 2 bonus to me as the judge says
`);
    const draft = presses(plan, ["red: Hit", "blue: Praise"]);
    expect(draftLine(draft, 1).calls).toEqual([{ call: "praise", for: "blue", value: 2 }]);
    expect(score(entered(draft))).toBe("points 1-0 bonus 0-2 open 0");
  });
  test("the clock at the halt decides what it decides", () => {
    const plan = planOf(`name: L
touches:
  I hit: 1
rules:
  - name: Late beat
    when: I beat
    if: 30 s or less are left
    pays: 1 bonus to me
`);
    expect(state(presses(plan, ["red: Hit"], [], 25), "red: Late beat")).toBe("offered");
    expect(state(presses(plan, ["red: Hit"], [], 31), "red: Late beat")).toBe("hidden");
  });
});

describe("every press can be taken back", () => {
  test("a key pressed again is released", () => {
    const draft = presses(answer, ["red: Head", "red: Head"]);
    expect(draft.presses).toEqual([]);
    expect(isReady(draft)).toBe(false);
  });
  test("another target of the same side replaces the first", () => {
    expect(score(entered(presses(answer, ["red: Head", "red: Torso"])))).toBe("points 2-0 bonus 0-0 open 0");
  });
  test("a chip pressed again is released, and what followed from it goes out", () => {
    const draft = presses(answer, ["red: Head", "red: Parry and riposte", "red: Parry and riposte"]);
    expect(state(draft, "red: Parry and riposte")).toBe("offered");
    expect(state(draft, "blue: Gave the cue")).toBe("offered");
  });
  test("an earlier draft is never changed", () => {
    const first = presses(answer, ["red: Head"]);
    const line = draftLine(first, 1);
    press(press(first, "blue:head"), "double");
    expect(draftLine(first, 1)).toEqual(line);
    expect(first.presses).toEqual(["red:head"]);
  });
  test("no exchange clears the keys, and a key clears no exchange", () => {
    expect(presses(answer, ["red: Head", "no exchange"]).presses).toEqual(["no exchange"]);
    expect(presses(answer, ["no exchange", "red: Head"]).presses).toEqual(["red:head"]);
  });
  test("a press that nobody knows changes nothing", () => {
    const draft = presses(answer, ["red: Head"]);
    expect(press(draft, "red:elbow")).toBe(draft);
  });
});

describe("double and afterblow", () => {
  test("both sides' keys are a double, with or without its key", () => {
    expect(draftLine(presses(answer, ["red: Head", "blue: Torso"]), 1).how).toBe("double");
    expect(draftLine(presses(answer, ["double", "red: Head", "blue: Torso"]), 1).how).toBe("double");
  });
  test("a double with one target told still has two hits", () => {
    expect(
      draftLine(presses(answer, ["double", "red: Head"]), 1).acts.map((act) => [act.by, act.end]),
    ).toEqual([
      ["red", "hit"],
      ["blue", "hit"],
    ]);
  });
  test("an afterblow belongs to the second side pressed", () => {
    const { acts, how } = draftLine(presses(answer, ["blue: Head", "afterblow", "red: Arm, leg"]), 1);
    expect(how).toBeUndefined();
    expect(acts.map((act) => [act.by, act.kind, act.target])).toEqual([
      ["blue", undefined, "head"],
      ["red", "afterblow", "arm"],
    ]);
  });
  test("an afterblow alone does not say who hit first", () => {
    expect(isReady(presses(answer, ["afterblow"]))).toBe(false);
  });
});

describe("[S4] Enter closes the line for what the table watches", () => {
  test("nothing is asked afterwards where the table watches everything", () => {
    for (const keys of [
      ["red: Head"],
      ["blue: Torso"],
      ["red: Head", "blue: Head"],
      ["afterblow", "red: Head"],
    ]) {
      const draft = presses(answer, keys);
      expect(draftLine(draft, 1).open).toBe(false);
      expect(entered(draft).questions).toEqual([]);
    }
  });
  test("a blow that was offered and not pressed was not seen", () => {
    const line = draftLine(presses(answer, ["red: Head"]), 1);
    expect(line.acts[0]?.not).toEqual(["descending"]);
  });
  const judged = planOf(ANSWER.replace("    at most: 6", "    watch: judge 1\n    at most: 6"));
  test("what a judge watches stays open, and only that", () => {
    const draft = presses(judged, ["red: Head"]);
    expect(draftLine(draft, 1).open).toEqual(["blue attack", "red parry"]);
    const tally = entered(draft);
    expect(tally.points.red).toBe(3);
    expect(tally.exchanges[0]?.open.map((one) => [one.rule, one.to])).toContainEqual([
      "Parry and riposte",
      "red",
    ]);
  });
  test("once the table pressed it, nothing waits for the judge", () => {
    const draft = presses(judged, ["red: Head", "red: Parry and riposte"]);
    expect(draftLine(draft, 1).open).toBe(false);
  });
  test("where the judge's fact cannot matter the line is closed", () => {
    expect(draftLine(presses(judged, ["no exchange"]), 1).open).toBe(false);
  });
});

describe("the line to say aloud", () => {
  const said = (keys: readonly string[], plan = answer): string => {
    const draft = presses(plan, keys);
    return sayAloud(draftLine(draft, 1), entered(draft));
  };
  test("who, where, how much; then what was earned beside it", () => {
    expect(said(["red: Head", "red: Parry and riposte"])).toBe(
      "Red, head, three. Parry and riposte, two more. Blue gave the cue: one.",
    );
  });
  test("a plain hit", () => expect(said(["blue: Torso"])).toBe("Blue, torso, two."));
  test("no exchange", () => expect(said(["no exchange"])).toBe("No exchange."));
  test("a double says both and what they are worth", () => {
    expect(said(["red: Head", "blue: Torso"])).toBe("Double. Red, head, nothing. Blue, torso, nothing.");
  });
  test("an afterblow is named", () => {
    expect(said(["afterblow", "red: Head", "blue: Arm, leg"])).toBe(
      "Red, head, two. Blue, afterblow, arm, nothing.",
    );
  });
  test("a bonus without a hit", () => expect(said(["red: Gave the cue"])).toBe("Red gave the cue: one."));
  test("an exchange that the tally does not have says nothing", () => {
    const draft = presses(answer, ["red: Head"]);
    expect(sayAloud(draftLine(draft, 9), entered(draft))).toBe("");
  });
  test("halves and what is taken off", () => {
    expect([0, 0.5, 1, 1.5, -1, 13].map(sayNumber)).toEqual([
      "nothing",
      "half",
      "one",
      "one and a half",
      "one off",
      "13",
    ]);
  });
});
