/** A rule set with every kind of pick, mark and own word that a bout sheet can name. */
import type { RuleSet } from "../../rules/language/tree.ts";
import type { Weapon } from "../../rules/vocabulary.ts";

export const sheetRules = (weapon: Weapon): RuleSet => ({
  name: "Sheet",
  weapon,
  words: [{ name: "praise", is: "call" }],
  phrases: [],
  picks: [
    {
      name: "secret opening",
      by: "each fencer",
      from: [{ text: "upper left opening" }, { text: "upper right opening" }],
      when: { at: "before the bout" },
    },
    {
      name: "luck",
      by: "chance",
      from: [{ text: "pays" }, { text: "nothing" }],
      when: { at: "after each exchange" },
    },
  ],
  marks: [
    { name: "slips", is: "count", for: "each fencer", changes: [] },
    { name: "hill", is: "token", for: "the hall", changes: [] },
    { name: "hurry", is: "flag", for: "the bout", changes: [] },
    { name: "last blow", is: "note", for: "each fencer", changes: [] },
  ],
  bout: {
    ends: [],
    starts: [],
    wins: "who has more points",
    clock: "stopped at the halt",
    halt: { on: "every hit" },
    ties: { is: "draw" },
    doubles: { is: "score nothing" },
    afterblows: { is: "both score" },
    simultaneous: "score nothing",
    panel: "the referee decides",
    atTheEnd: "stays apart",
    bonus: { countsTowardsTheWin: false, countsTowardsTheCap: false },
  },
  touches: [],
  rules: [],
});

export const SHEET_RULES = sheetRules("longsword");
