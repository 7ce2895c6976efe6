import { describe, expect, test } from "vitest";
import { draftLine } from "../../rules/award/plan-draft.ts";
import { sayAloud, sayNumber } from "../../rules/award/plan-say.ts";
import { answer, entered, presses } from "../support/presses.ts";

const said = (keys: readonly string[], plan = answer): string => {
  const draft = presses(plan, keys);
  return sayAloud(draftLine(draft, 1), entered(draft));
};

describe("the line to say aloud", () => {
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
