/** The bouts of one person among those that were called. */
import type { Meet, PersonId, PlannedBout } from "../../engine/index.ts";
import { keptFor } from "./kept.ts";

const NONE: readonly PlannedBout[] = [];

/** A season's bouts by person: sorted once for each call, not for each view. */
const byPerson = keptFor((called: Meet["called"]): ReadonlyMap<PersonId, readonly PlannedBout[]> => {
  const sorted = new Map<PersonId, PlannedBout[]>();
  const add = (person: PersonId, bout: PlannedBout): void => {
    const own = sorted.get(person);
    if (own === undefined) sorted.set(person, [bout]);
    else own.push(bout);
  };
  for (const bout of called) {
    add(bout.red, bout);
    if (bout.blue !== bout.red) add(bout.blue, bout);
  }
  return sorted;
});

/** Called bouts in which this person fences or fenced, oldest first. */
export const calledFor = (meet: Meet, person: PersonId): readonly PlannedBout[] =>
  byPerson(meet.called).get(person) ?? NONE;
