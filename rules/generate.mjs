/**
 * Compiles the checked YAML of lexicons/ and sets/ into one module, so that the language needs no file at run time and
 * the compiler checks every word's class. Same input, same output, byte for byte.
 *
 *   node rules/generate.mjs
 */
import { mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { parse } from "yaml";

const here = dirname(fileURLToPath(import.meta.url));

/** Every YAML file of a folder, by name; the order of the file system must not reach the output. */
function filesOf(folder) {
  return readdirSync(join(here, folder))
    .filter((name) => name.endsWith(".yaml"))
    .sort()
    .map((name) => ({
      id: name.slice(0, -".yaml".length),
      file: `${folder}/${name}`,
      text: readFileSync(join(here, folder, name), "utf8"),
    }));
}

function lexiconOf({ file, text }) {
  try {
    return parse(text, { version: "1.2", uniqueKeys: true });
  } catch (cause) {
    throw new Error(`rules/${file}: ${cause.message}`, { cause });
  }
}

const lexicons = filesOf("lexicons").map(lexiconOf);
const sets = filesOf("sets").map(({ id, text }) => ({ id, text }));

const shelf = [
  "// Written by rules/generate.mjs from rules/lexicons and rules/sets. Change those, not this.",
  'import type { Lexicon } from "../language/lexicon.ts";',
  "",
  `export const LEXICONS: readonly Lexicon[] = ${JSON.stringify(lexicons, null, 2)};`,
  "",
  `export const SETS: readonly { readonly id: string; readonly text: string }[] = ${JSON.stringify(sets, null, 2)};`,
  "",
].join("\n");

mkdirSync(join(here, ".generated"), { recursive: true });
writeFileSync(join(here, ".generated", "shelf.ts"), shelf);
