import { expect, test } from "vitest";
import type { LedgerReport } from "../../engine/ledger/open.ts";
import { register, told } from "../../table-ui/cli/report.ts";

test("a report names the same advice once for differences that follow each other", () => {
  const difference = { where: "people", sentence: "One.", cure: "Do this." };
  const report: LedgerReport = {
    driver: "memory",
    bouts: 14,
    events: 1204,
    people: 12,
    differences: [difference, { ...difference, sentence: "Two." }],
    remarks: ["Something was left out."],
  };
  expect(told({ ...report, differences: [], remarks: [] })).toBe("14 bouts, 1,204 events: all sound.\n");
  expect(told(report)).toBe(
    "14 bouts, 1,204 events: 2 differences.\n\npeople: One.\n\npeople: Two.\n  Do this.\n\nSomething was left out.\n",
  );
});

test("a copy says what it holds, so that it is kept with care", () => {
  expect([0, 1, 12].map(register)).toEqual([
    "It holds no names.",
    "It holds names and notes of 1 person: keep it as you keep a register of members.",
    "It holds names and notes of 12 people: keep it as you keep a register of members.",
  ]);
});
