import { describe, expect, test } from "vitest";
import { files, text } from "../support/tree.ts";

/** Where promises are numbered, and with which letters. */
const PROMISED = [
  ["rules/LANGUAGE.md", /^- \[([PS]\d+)\]/gm],
  ["table-ui/wire/PROTOCOL.md", /^- \[(W\d+)\]/gm],
  ["DEVELOPERS.md", /^- \[(D\d+)\]/gm],
] as const;

const quoted = new Set(
  files("tests/*.ts").flatMap((file) =>
    [...text(file).matchAll(/\[([PSWD]\d+)\]/g)].map((found) => found[1] ?? ""),
  ),
);

describe.each(PROMISED)("%s", (file, pattern) => {
  const promises = [...text(file).matchAll(pattern)].map((found) => found[1] ?? "");

  test("numbers its promises, each once", () => {
    expect(promises.length).toBeGreaterThan(5);
    expect(new Set(promises).size).toBe(promises.length);
  });

  test("keeps every promise with a test that quotes it", () => {
    expect(promises.filter((promise) => !quoted.has(promise))).toEqual([]);
  });

  test("has a promise for every number that a test quotes", () => {
    const letters = new Set(promises.map((promise) => promise.charAt(0)));
    const unknown = [...quoted].filter(
      (number) => letters.has(number.charAt(0)) && !promises.includes(number),
    );
    expect(unknown).toEqual([]);
  });
});
