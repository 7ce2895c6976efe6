import { describe, expect, test } from "vitest";
import { chips, draftLine, draftStart, isReady, press } from "../../rules/award/plan-draft.ts";
import {
  ANSWER,
  answer,
  chip,
  entered,
  idOf,
  planOf,
  presses,
  score,
  state,
  TOUCHES,
} from "../support/presses.ts";

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
