/** Suites that need real services, and what they say where one is not installed. */
import { describe } from "vitest";
import { programPath } from "./services.ts";

const SERVICES = {
  postgres: { program: "initdb", name: "PostgreSQL", debian: "postgresql" },
  redis: { program: "redis-server", name: "Redis", debian: "redis-server" },
} as const;
export type Service = keyof typeof SERVICES;

/** Why tests with these services cannot run here, to be read in a suite's name; undefined where they can. */
export function missing(...services: readonly Service[]): string | undefined {
  const absent = services.map((each) => SERVICES[each]).filter(({ program }) => !programPath(program));
  if (absent.length === 0) return undefined;
  const names = absent.map(({ name }) => name).join(" and ");
  const packages = absent.map(({ debian }) => debian).join(" ");
  return `skipped: ${names} is not installed here; as root: apt-get install ${packages}`;
}

/** `describe` for tests that need these services: without them the suite is skipped, and its name says why. */
export function describeWith(services: readonly Service[], name: string, tests: () => void): void {
  const why = missing(...services);
  if (why === undefined) describe(name, tests);
  else describe.skip(`${name} (${why})`, tests);
}
