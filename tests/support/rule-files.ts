/** Every rule set that stands somewhere in the house, as text: the ready sets, the cases, the blocks of LANGUAGE.md. */
import { casesOf, type Case } from "./gives.ts";
import { files, text } from "./tree.ts";

export interface RuleFile {
  readonly name: string;
  readonly text: string;
}

export const readySets = (): readonly RuleFile[] =>
  files("rules/sets/*.yaml").map((name) => ({ name, text: text(name) }));

export const caseFiles = (): readonly Case[] =>
  files("tests/golden/cases*.yaml").flatMap((name) => casesOf(text(name)));

const indented = (body: string): string => body.replace(/^(?=.)/gm, "  ");
/** How a piece of a rule set on the page is made whole. */
const WHOLE: Readonly<Record<string, (body: string) => string>> = {
  yaml: (body) => body,
  "yaml part": (body) => `name: Part\n${body}touches:\n  I hit: 1\n`,
  "yaml touches": (body) => `name: Touches\ntouches:\n${indented(body)}`,
  "yaml rules": (body) => `name: Rules\ntouches:\n  I hit: 1\nrules:\n${indented(body)}`,
};

/** The blocks of the page that are rule sets in order. */
export const pageFiles = (): readonly RuleFile[] =>
  [...text("rules/LANGUAGE.md").matchAll(/^```(yaml.*)\n([\s\S]*?)^```$/gm)].flatMap((found, at) => {
    const whole = WHOLE[found[1] ?? ""];
    return whole ? [{ name: `LANGUAGE.md, block ${String(at + 1)}`, text: whole(found[2] ?? "") }] : [];
  });

/** The blocks of the page that are bout sheets. */
export const pageSheets = (): readonly string[] =>
  [...text("rules/LANGUAGE.md").matchAll(/^```sheet.*\n([\s\S]*?)^```$/gm)].map((found) => found[1] ?? "");
