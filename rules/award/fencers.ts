/** Who fences in a bout, and whom the evening has met: names, teams, and the numbers by which marks remember them. */
import type { Mark } from "../language/tree.ts";
import type { SheetLine } from "../record.ts";
import type { Fencers } from "./entry.ts";

/** A bout whose line says no names. */
export const NAMELESS: Fencers = { red: "red", blue: "blue" };

/** Of a fencer without a team he is the team himself; two of one team fence for themselves. */
export function teamsOf({ red, blue, redTeam, blueTeam }: Fencers): readonly [string, string] {
  return redTeam !== undefined && redTeam === blueTeam ? [red, blue] : [redTeam ?? red, blueTeam ?? blue];
}

export const fencersOf = (line: Extract<SheetLine, { type: "bout" }>): Fencers => ({
  red: line.red ?? NAMELESS.red,
  blue: line.blue ?? NAMELESS.blue,
  ...(line.redTeam === undefined ? {} : { redTeam: line.redTeam }),
  ...(line.blueTeam === undefined ? {} : { blueTeam: line.blueTeam }),
});

/** A note or a set of fencers. */
export const remembersFencers = (mark: Mark): boolean =>
  mark.changes.some(({ does }) => "what" in does && (does.what === "fencer" || does.what === "partner"));

/** A token or roles that somebody may hold who does not fence in this bout. */
export const isCarried = (mark: Mark): boolean =>
  (mark.is === "token" || mark.is === "roles") && (mark.for === "the hall" || mark.for.endsWith("tonight"));

/** A set keeps one bit a fencer. */
const MOST_FENCERS = 52;

/** The fencers of an evening, numbered as they are met. */
export class Met {
  readonly names: string[] = [];
  private readonly numbers = new Map<string, number>();

  /** The fencer's number, from 0; -1 for nobody, and for one too many. */
  number(name: string): number {
    if (name === "") return -1;
    const known = this.numbers.get(name);
    if (known !== undefined) return known;
    if (this.names.length >= MOST_FENCERS) return -1;
    this.numbers.set(name, this.names.length);
    return this.names.push(name) - 1;
  }

  /** The name as it was met, in whatever capitals it is written here. */
  as(written: string): string {
    const same = (name: string): boolean => name.toLowerCase() === written.toLowerCase();
    return this.numbers.has(written) ? written : (this.names.find(same) ?? written);
  }
}
