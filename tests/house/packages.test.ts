/**
 * What is installed with us, read from the lock file and from the packages themselves. No service is asked for known faults:
 * that needs the network, and whoever has it runs `npm audit`.
 */
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { root, text } from "../support/tree.ts";

interface Entry {
  readonly version?: string;
  readonly resolved?: string;
  readonly integrity?: string;
  readonly hasInstallScript?: boolean;
  readonly optional?: boolean;
  readonly link?: boolean;
}

const { packages, lockfileVersion } = JSON.parse(text("package-lock.json")) as {
  readonly packages: Readonly<Record<string, Entry>>;
  readonly lockfileVersion: number;
};
const installed = Object.entries(packages).filter(([path]) => path !== "");
/** "@scope/name" of "node_modules/a/node_modules/@scope/name". */
const nameOf = (path: string): string =>
  path.slice(path.lastIndexOf("node_modules/") + "node_modules/".length);

/** Packages that run a script when they are installed, each with the reason why it may stand in the lock. */
const SCRIPTED: Readonly<Record<string, string>> = {};

/** Licences that let a club use, change and pass on what it runs. The names are SPDX's (spdx.org/licenses). */
const LICENCES = [
  "MIT",
  "ISC",
  "BSD-2-Clause",
  "BSD-3-Clause",
  "Apache-2.0",
  "BlueOak-1.0.0",
  "CC-BY-4.0",
  // Binds whoever changes its own files, and nothing that stands beside them.
  "MPL-2.0",
  // Fonts, by whoever uses them; they are not sold alone.
  "OFL-1.1",
] as const;
/** Whether one of the licences that an SPDX expression leaves the choice of is allowed, or all of those that it asks for. */
function isAllowed(expression: string): boolean {
  const bare = expression.replace(/^\((.*)\)$/, "$1");
  if (bare.includes(" OR ")) return bare.split(" OR ").some(isAllowed);
  if (bare.includes(" AND ")) return bare.split(" AND ").every(isAllowed);
  return (LICENCES as readonly string[]).includes(bare);
}

type Named = string | { readonly type?: string };

/** What a package says of its own licence; some of the old ones say it as an object, or as a list of them. */
function licenceOf(path: string): string {
  const own = JSON.parse(readFileSync(join(root, path, "package.json"), "utf8")) as {
    readonly license?: Named;
    readonly licenses?: readonly Named[];
  };
  const said = own.license ?? own.licenses?.[0];
  return (typeof said === "string" ? said : said?.type) ?? "none";
}

describe("the lock file", () => {
  test("names every package by one version, one origin and one hash", () => {
    expect(lockfileVersion).toBe(3);
    expect(installed.length).toBeGreaterThan(100);
    const vague = installed.filter(
      ([, { version, integrity, link }]) =>
        link === true ||
        !/^\d+\.\d+\.\d+(?:-[\w.]+)?$/.test(version ?? "") ||
        !(integrity ?? "").startsWith("sha512-"),
    );
    expect(vague.map(([path]) => path)).toEqual([]);
    // A package that comes from a repository or a file is none that anybody else could check.
    const elsewhere = installed.filter(
      ([, { resolved }]) => resolved !== undefined && !resolved.startsWith("https://"),
    );
    expect(elsewhere.map(([path]) => path)).toEqual([]);
  });

  test("holds no package that runs a script at installation, but for those with a reason", () => {
    const scripted = installed.filter(([, { hasInstallScript }]) => hasInstallScript === true);
    expect(scripted.filter(([path]) => SCRIPTED[nameOf(path)] === undefined).map(([path]) => path)).toEqual(
      [],
    );
    // A reason for a package that is gone is no reason any more.
    const names = scripted.map(([path]) => nameOf(path));
    expect(Object.keys(SCRIPTED).filter((name) => !names.includes(name))).toEqual([]);
    expect(scripted.every(([, { optional }]) => optional === true)).toBe(true);
  });

  test("asks in package.json for exact versions, the ones that it holds", () => {
    const own = JSON.parse(text("package.json")) as Readonly<
      Record<string, Readonly<Record<string, string>>>
    >;
    const asked = ["dependencies", "devDependencies", "optionalDependencies"].flatMap((kind) =>
      Object.entries(own[kind] ?? {}),
    );
    expect(asked.length).toBeGreaterThan(20);
    const wrong = asked.filter(([name, version]) => packages[`node_modules/${name}`]?.version !== version);
    expect(wrong).toEqual([]);
  });
});

describe("the packages as they are installed", () => {
  const here = installed.filter(([path]) => existsSync(join(root, path, "package.json")));

  test("are those of the lock file", () => {
    expect(here.length).toBeGreaterThan(100);
    const missing = installed.filter(
      ([path, { optional }]) => optional !== true && !existsSync(join(root, path)),
    );
    expect(missing.map(([path]) => path)).toEqual([]);
    const other = here.filter(([path, { version }]) => {
      const own = JSON.parse(readFileSync(join(root, path, "package.json"), "utf8")) as { version?: string };
      return own.version !== version;
    });
    expect(other.map(([path]) => path)).toEqual([]);
  });

  test("have licences under which a club may use them and pass them on", () => {
    const wrong = here
      .map(([path]) => ({ name: nameOf(path), licence: licenceOf(path) }))
      .filter(({ licence }) => !isAllowed(licence));
    expect(wrong).toEqual([]);
  });

  test("an expression of licences is read as it is meant", () => {
    expect(["MIT", "(MIT OR GPL-3.0)", "(MIT AND CC-BY-4.0)"].map(isAllowed)).toEqual([true, true, true]);
    expect(["GPL-3.0", "(MIT AND GPL-3.0)", "none", "SEE LICENSE IN X"].map(isAllowed)).toEqual([
      false,
      false,
      false,
      false,
    ]);
  });
});
