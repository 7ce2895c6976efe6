/** Whom events name: persons and seats must stand in the ledger's tables, erased and revoked ones included. */
import type { BoutEvent } from "../bout/events.ts";
import type { Source } from "../ids.ts";
import type { MeetEvent } from "../meet/events.ts";
import type { Difference } from "./difference.ts";
import { CURES } from "./difference.ts";

/** The ids of everybody and of every seat that the ledger's tables hold; undefined: the table cannot be read. */
export interface Known {
  readonly people: ReadonlySet<string> | undefined;
  readonly seats: ReadonlySet<string> | undefined;
}

interface Named {
  readonly people: readonly (string | undefined)[];
  readonly seats: readonly (string | undefined)[];
}

/** The hall speaks without a seat. */
const seatOf = ({ kind, seat }: Source): string | undefined => (kind === "hall" ? undefined : seat);

function inBoutEvent(event: BoutEvent): Named {
  switch (event.type) {
    case "BoutCalled":
      return { people: [event.red, event.blue], seats: [] };
    case "FencingStarted": {
      const silent = (event.silence ?? []).map(({ by }) => by);
      return { people: silent.map(({ person }) => person), seats: silent.map(seatOf) };
    }
    case "ClaimsAnswered":
      return { people: event.granted.map(({ person }) => person), seats: [] };
    default:
      return { people: [], seats: [] };
  }
}

function inMeetEvent(event: MeetEvent): Named {
  switch (event.type) {
    case "FencerAdded":
    case "FencerMarked":
    case "FencerSet":
    case "OfficialSet":
      return { people: [event.person], seats: [] };
    case "BoutPlanned":
      return { people: [event.red, event.blue], seats: [] };
    case "HallClaimed":
      return { people: event.claims.map(({ person }) => person), seats: [] };
    case "PenTaken":
      return { people: [], seats: [event.seat] };
    default:
      return { people: [], seats: [] };
  }
}

/** Tells of each missing person and seat once a stream, at the first event that names them. */
export class NameCheck {
  private readonly known: Known;
  private readonly where: string;
  private readonly told = new Set<string>();

  constructor(where: string, known: Known) {
    this.where = where;
    this.known = known;
  }

  bout(event: BoutEvent, version: number): readonly Difference[] {
    return this.missing(event.by, inBoutEvent(event), version);
  }

  meet(event: MeetEvent, version: number): readonly Difference[] {
    return this.missing(event.by, inMeetEvent(event), version);
  }

  private missing(by: Source, named: Named, version: number): readonly Difference[] {
    const people = [...named.people, by.person];
    const seats = [...named.seats, seatOf(by)];
    return [
      ...this.notIn(this.known.people, people, "person", version),
      ...this.notIn(this.known.seats, seats, "seat", version),
    ];
  }

  private notIn(
    known: ReadonlySet<string> | undefined,
    ids: readonly (string | undefined)[],
    kind: "person" | "seat",
    version: number,
  ): readonly Difference[] {
    return ids.flatMap((id): readonly Difference[] => {
      const key = `${kind} ${id}`;
      if (id === undefined || known === undefined || known.has(id) || this.told.has(key)) return [];
      this.told.add(key);
      const sentence = `Event ${version} names the ${kind} ${id}, and the ledger has no such ${kind}.`;
      return [{ where: this.where, version, sentence, cure: CURES.goBack }];
    });
  }
}
