import { describe, expect, test } from "vitest";
import type { Act, ExchangeLine } from "../../../rules/index.ts";
import {
  NEUTRAL,
  speak,
  tellEnding,
  tellExchange,
  tellPutRight,
  times,
  voiceOf,
} from "../../../table-ui/wire/sentences.ts";

const names = { red: "Mira H.", blue: "Teo B." };
const mira = voiceOf("red", names);
const teo = voiceOf("blue", names);
const line = (...acts: Act[]): ExchangeLine => ({ type: "exchange", no: 1, acts, open: false });
const hit: Act = { by: "blue", kind: "attack", target: "arm", end: "hit" };

describe("one exchange, from where one sits", () => {
  test("the one who was hit, the one who hit, and everybody else", () => {
    expect(tellExchange(line(hit), mira)).toBe("Teo hit your arm.");
    expect(tellExchange(line(hit), teo)).toBe("You hit the arm.");
    expect(tellExchange(line(hit), NEUTRAL)).toBe("Blue hit the arm.");
  });

  test("a hit and its afterblow", () => {
    const back: Act = { by: "red", kind: "afterblow", target: "leg", end: "hit" };
    expect(tellExchange(line(hit, back), mira)).toBe("Teo hit your arm; your afterblow hit the leg.");
    expect(tellExchange(line(hit, back), NEUTRAL)).toBe("Blue hit the arm; Red's afterblow hit the leg.");
  });

  test("a hit that somebody still has to confirm", () => {
    expect(tellExchange(line({ ...hit, end: "perhaps" }), NEUTRAL)).toBe("Blue perhaps hit the arm.");
  });

  test("where nobody said where it landed", () => {
    const { target: _, ...somewhere } = hit;
    expect(tellExchange(line(somewhere), mira)).toBe("Teo hit you.");
    expect(tellExchange(line(somewhere), NEUTRAL)).toBe("Blue hit.");
  });

  test.each([
    ["no exchange", "No exchange."],
    ["double", "Double: both hit."],
    ["simultaneous", "Simultaneous: both attacked at once."],
  ] as const)("%s", (how, sentence) => {
    expect(tellExchange({ ...line(hit), how }, mira)).toBe(sentence);
  });

  test("nothing landed", () => {
    expect(tellExchange(line({ by: "red", kind: "parry" }), mira)).toBe("Nobody hit.");
  });
});

describe("the engine's sentences in a seat's voice", () => {
  test("say you and the other's first name", () => {
    const sentence = "Red parried, then hit the torso: 2 bonus to Red.";
    expect(speak(sentence, mira)).toBe("You parried, then hit the torso: 2 bonus to you.");
    expect(speak(sentence, teo)).toBe("Mira parried, then hit the torso: 2 bonus to Mira.");
    expect(speak(sentence, NEUTRAL)).toBe(sentence);
  });

  test("bend the verb for you, and nobody's for the other", () => {
    expect(speak("Exchange 5: was Red's cut descending?", mira)).toBe("Exchange 5: was your cut descending?");
    expect(speak("Red was ahead and Blue has hit.", mira)).toBe("You were ahead and Teo has hit.");
  });

  test("leave a rule's name in front alone, even one with a colour in it", () => {
    expect(speak("Red letter day: Red hit: 1 bonus.", mira, "Red letter day")).toBe(
      "Red letter day: you hit: 1 bonus.",
    );
  });

  test("two fencers with one first name keep their short names", () => {
    const voice = voiceOf("red", { red: "Mira H.", blue: "Mira K." });
    expect(tellExchange(line(hit), voice)).toBe("Mira K. hit your arm.");
  });

  test("a number is said whole", () => {
    const voice = voiceOf("red", { red: "Mira H.", blue: "Fencer 8" });
    expect(tellExchange(line(hit), voice)).toBe("Fencer 8 hit your arm.");
  });
});

test("how a bout ended", () => {
  const points = { red: 8, blue: 6 };
  expect(tellEnding("red wins", points, names, "red")).toBe("You won, 8 to 6.");
  expect(tellEnding("red wins", points, names, "blue")).toBe("Mira H. won, 8 to 6.");
  expect(tellEnding("blue wins", { red: 6, blue: 8 }, names)).toBe("Teo B. won, 8 to 6.");
  expect(tellEnding("draw", { red: 6, blue: 6 }, names)).toBe("A draw, 6 to 6.");
  expect(tellEnding("stopped", points, names, "blue")).toBe("Stopped at 6 to 8.");
  expect(tellEnding("blue forfeits", points, names, "blue")).toBe("You forfeit.");
  expect(tellEnding("both lose", points, names)).toBe("Both lose, 8 to 6.");
});

test("who put an exchange right, and why", () => {
  const by = { seat: "s", kind: "judge", judge: 1 } as const;
  expect(tellPutRight({ at: 0, by, why: "saw the parry" })).toBe("Put right by judge 1: saw the parry.");
  expect(tellPutRight({ at: 0, by: { seat: "s", kind: "table" } })).toBe("Put right by the table.");
});

test("how often", () => {
  expect([0, 1, 2, 3].map(times)).toEqual(["never", "once", "twice", "3 times"]);
});
