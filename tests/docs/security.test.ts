/** The SECURITY section answers every requirement of its standard, each once, with a reason. */
import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { root, text } from "../support/tree.ts";

/**
 * How many requirements of levels 1 and 2 each section has; within a section they come first, level 3 after them.
 * Source: OWASP ASVS 5.0.0, the file OWASP_Application_Security_Verification_Standard_5.0.0_en.csv of its repository.
 */
const SECTIONS: Readonly<Record<string, number>> = {
  ...{ "1.1": 2, "1.2": 9, "1.3": 11, "1.4": 3, "1.5": 2 },
  ...{ "2.1": 3, "2.2": 3, "2.3": 4, "2.4": 1 },
  ...{ "3.2": 2, "3.3": 4, "3.4": 6, "3.5": 5, "3.7": 2 },
  ...{ "4.1": 3, "4.2": 1, "4.3": 2, "4.4": 4 },
  ...{ "5.1": 1, "5.2": 3, "5.3": 2, "5.4": 3 },
  ...{ "6.1": 3, "6.2": 12, "6.3": 4, "6.4": 4, "6.5": 5, "6.6": 3, "6.8": 4 },
  ...{ "7.1": 3, "7.2": 4, "7.3": 2, "7.4": 5, "7.5": 2, "7.6": 2 },
  ...{ "8.1": 2, "8.2": 3, "8.3": 1, "8.4": 1 },
  ...{ "9.1": 3, "9.2": 4 },
  ...{ "10.1": 2, "10.2": 2, "10.3": 4, "10.4": 11, "10.5": 5, "10.6": 2, "10.7": 3 },
  ...{ "11.1": 2, "11.2": 3, "11.3": 3, "11.4": 4, "11.5": 1, "11.6": 1 },
  ...{ "12.1": 3, "12.2": 2, "12.3": 4 },
  ...{ "13.1": 1, "13.2": 5, "13.3": 2, "13.4": 5 },
  ...{ "14.1": 2, "14.2": 4, "14.3": 3 },
  ...{ "15.1": 3, "15.2": 3, "15.3": 7 },
  ...{ "16.1": 1, "16.2": 5, "16.3": 4, "16.4": 3, "16.5": 3 },
  ...{ "17.1": 1, "17.2": 4, "17.3": 2 },
};

const wanted = Object.entries(SECTIONS).flatMap(([section, count]) =>
  Array.from({ length: count }, (_, at) => `${section}.${at + 1}`),
);

const section = /^## SECURITY\n([\s\S]*?)(?=^## )/m.exec(text("DEVELOPERS.md"))?.[1] ?? "";
const rows = [...section.matchAll(/^\| ([\d., ]+?) +\| (\w+) +\| (.+?) +\|$/gm)].map(
  ([, ids = "", state = "", how = ""]) => ({ ids: ids.split(", "), state, how }),
);

describe("SECURITY in DEVELOPERS.md", () => {
  test("answers all 253 requirements of levels 1 and 2, each once", () => {
    expect(wanted).toHaveLength(253);
    expect(rows.flatMap(({ ids }) => ids).toSorted(byNumber)).toEqual(wanted.toSorted(byNumber));
  });

  test("says of each whether it is met, and how or why not", () => {
    for (const { ids, state, how } of rows) {
      expect(["yes", "part", "no", "none"], ids.join()).toContain(state);
      expect(how.length, ids.join()).toBeGreaterThan(5);
    }
  });

  test("names only tests that are there", () => {
    const named = [...section.matchAll(/tests\/[\w./-]+\w/g)].map(([path]) => path);
    expect(named.length).toBeGreaterThan(15);
    const isThere = (path: string): boolean =>
      ["", ".test.ts"].some((ending) => existsSync(join(root, path + ending)));
    expect(named.filter((path) => !isThere(path))).toEqual([]);
  });

  test("names only promises that are made", () => {
    const promised = text("table-ui/wire/PROTOCOL.md") + text("DEVELOPERS.md").replace(section, "");
    const named = [...section.matchAll(/\b([WD]\d+)\b/g)].map(([, promise = ""]) => promise);
    expect(named.length).toBeGreaterThan(10);
    expect(named.filter((promise) => !promised.includes(`- [${promise}]`))).toEqual([]);
  });
});

function byNumber(a: string, b: string): number {
  const [x = [], y = []] = [a, b].map((id) => id.split(".").map(Number));
  return x.map((part, at) => part - (y[at] ?? 0)).find((difference) => difference !== 0) ?? 0;
}
