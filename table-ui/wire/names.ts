/** Whose name goes to which seat, and how full. */
import type { PersonId } from "../../engine/index.ts";
import type { Hall, PersonOnFile, Sitting } from "./hall.ts";

/** What a fencer can agree to. Without the first a wall shows the short name; without a short name a number. */
const CONSENTS = ["full name on walls"] as const;
type Consent = (typeof CONSENTS)[number];

/** "Fencer 7": the place in the evening's roster, so that it stays the same all evening. */
function numbered(hall: Hall, person: PersonId): string {
  const place = hall.meet.fencers.findIndex((fencer) => fencer.person === person);
  return place < 0 ? "A fencer" : `Fencer ${place + 1}`;
}

const known = (text: string | undefined): string | undefined =>
  text === undefined || text.trim() === "" ? undefined : text;

/** What a judge, an opponent and (without consent to more) a wall may read. */
function shortOf(hall: Hall, id: PersonId, person: PersonOnFile | undefined): string {
  return known(person?.shortName) ?? numbered(hall, id);
}

/** [W4] A fencer's name as full as a seat may see it: full, short, or a number. */
export function nameFor(hall: Hall, id: PersonId, sitting: Sitting): string {
  const person = hall.person(id);
  const full = known(person?.name);
  switch (sitting.kind) {
    case "coach":
    case "table":
      return full ?? shortOf(hall, id, person);
    case "judge":
      return shortOf(hall, id, person);
    case "fencer":
      return sitting.person === id && full !== undefined ? full : shortOf(hall, id, person);
    case "wall":
      return full !== undefined && person?.consents.includes(CONSENTS[0] satisfies Consent) === true
        ? full
        : shortOf(hall, id, person);
  }
}

/** The first name for a sentence, if there is one: "Teo" of "Teo B."; "Fencer 7" stays whole. */
export function spoken(name: string): string {
  const [first, second] = name.split(" ");
  return first === undefined || second === undefined || /^\d+$/.test(second) ? name : first;
}
