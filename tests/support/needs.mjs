/**
 * What tests of real services need from Debian, and what a run says where it could not get it. Plain JavaScript on Node
 * alone, because it runs before anything is built.
 */
import { existsSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { delimiter, join } from "node:path";
import { spawnSync } from "node:child_process";

const APT = "/usr/bin/apt-get";
/** Debian asks it before a package's service is started (https://people.debian.org/~hmh/invokerc.d-policyrc.d-specification.txt). */
const POLICY = "/usr/sbin/policy-rc.d";
const DEBIAN_POSTGRES = "/usr/lib/postgresql";

const onPath = (name) => (process.env.PATH ?? "").split(delimiter).some((dir) => existsSync(join(dir, name)));

/** Debian keeps PostgreSQL's programs off the path, a folder for each version. */
const hasPostgres = () =>
  onPath("initdb") ||
  (existsSync(DEBIAN_POSTGRES) &&
    readdirSync(DEBIAN_POSTGRES).some((version) =>
      existsSync(join(DEBIAN_POSTGRES, version, "bin", "initdb")),
    ));

const missing = () => [
  ...(hasPostgres() ? [] : ["postgresql"]),
  ...(onPath("redis-server") ? [] : ["redis-server"]),
];

/** Runs `work` while packages install their services without starting them. */
function withoutStarting(work) {
  if (existsSync(POLICY)) return work();
  // 101: the action is not allowed.
  writeFileSync(POLICY, "#!/bin/sh\nexit 101\n", { mode: 0o755 });
  try {
    return work();
  } finally {
    rmSync(POLICY);
  }
}

const apt = (...args) =>
  spawnSync(APT, args, {
    stdio: ["ignore", process.stderr, "inherit"],
    env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" },
  }).status === 0;

/**
 * Installs PostgreSQL and Redis where they are missing and we are root on a Debian; nothing of theirs is started. Otherwise
 * their suites are skipped, and say so themselves.
 */
export function needServices() {
  const packages = missing();
  if (packages.length === 0 || process.getuid?.() !== 0 || !existsSync(APT)) return;
  process.stderr.write(`Installing ${packages.join(" and ")} (once) ...\n`);
  const done = withoutStarting(() => apt("update", "-qq") && apt("install", "-y", "-qq", ...packages));
  if (!done) process.stderr.write("apt-get could not install them; their tests are skipped.\n");
}

const REASON = /\(skipped: ([^)]*)\)/;

/** Why suites were skipped, as their names say it, from vitest's JSON report; each reason once. */
export function reasonsIn(report) {
  const names = (report.testResults ?? []).flatMap(({ assertionResults }) =>
    assertionResults
      .filter(({ status }) => status !== "passed" && status !== "failed")
      .map((each) => each.fullName),
  );
  return [...new Set(names.map((name) => REASON.exec(name)?.[1]).filter((reason) => reason !== undefined))];
}
