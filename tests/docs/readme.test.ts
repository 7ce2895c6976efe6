import { execFileSync } from "node:child_process";
import { describe, expect, test } from "vitest";
import { readRuleSet } from "../../rules/index.ts";
import { root, text } from "../support/tree.ts";

const readme = text("README.md");
const blocks = (language: string): readonly string[] =>
  [...readme.matchAll(new RegExp("```" + language + "\\n([\\s\\S]*?)```", "g"))].map(
    (found) => found[1] ?? "",
  );

describe("the README", () => {
  test("shows a rule set that is in order", () => {
    const [shown = ""] = blocks("yaml");
    const read = readRuleSet(shown, "README.md");
    expect(read.ok ? [] : read.faults).toEqual([]);
  });

  test("shows a command, and exactly what it prints", () => {
    const [command = ""] = blocks("sh");
    const [printed = ""] = blocks("text");
    const said = execFileSync("sh", ["-c", command], {
      cwd: root,
      encoding: "utf8",
      stdio: ["ignore", "pipe", "ignore"],
    });
    expect(said).toBe(printed);
  });

  test("begins with the job in one paragraph, and names the two commands", () => {
    const [, job = ""] = readme.split("\n\n");
    expect(job).toMatch(/coach/);
    expect(readme.indexOf("npm start")).toBeGreaterThan(readme.indexOf(job));
    const scripts = (JSON.parse(text("package.json")) as { scripts: Record<string, string> }).scripts;
    expect(Object.keys(scripts)).toEqual(expect.arrayContaining(["start", "test"]));
  });

  test("links only to what is there", () => {
    for (const [, target] of readme.matchAll(/\]\((?!http)([^)#]+)\)/g))
      expect(() => execFileSync("ls", [target ?? ""], { cwd: root })).not.toThrow();
  });
});
