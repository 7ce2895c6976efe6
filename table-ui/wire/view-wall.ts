/** The wall: every ring's bout, who is next, names as consented. */
import type { BoutId, Pair, RingId } from "../../engine/index.ts";
import type { Hall, Sitting } from "./hall.ts";
import { nameFor } from "./names.ts";
import { boutOnView } from "./view-bout.ts";
import { standingFor } from "./standing.ts";
import type { BoutOnView, Seen, WallView } from "./views.ts";

/** What every view says first. */
export function seenBy(hall: Hall, sitting: Sitting): Seen {
  const { name, until } = hall.meet;
  const standing = standingFor(hall.standing, sitting);
  return {
    seat: sitting.seat,
    evening: name,
    ...(until === undefined ? {} : { until }),
    at: hall.now,
    ...(standing === undefined ? {} : { standing }),
  };
}

/** Who fences next on a ring. */
export function nextOn(hall: Hall, ring: RingId, sitting: Sitting): Pair<string> | undefined {
  const next = hall.meet.planned.find((planned) => planned.ring === ring);
  return next && { red: nameFor(hall, next.red, sitting), blue: nameFor(hall, next.blue, sitting) };
}

/** The bout with this id as the seat sees it. */
export function viewOf(hall: Hall, bout: BoutId | undefined, sitting: Sitting): BoutOnView | undefined {
  const file = bout === undefined ? undefined : hall.bout(bout);
  return file && boutOnView(hall, file, sitting);
}

export function wallView(hall: Hall, sitting: Sitting & { kind: "wall" }): WallView {
  const rings = hall.meet.rings.map((ring) => {
    const bout = viewOf(hall, ring.bout, sitting);
    const next = nextOn(hall, ring.id, sitting);
    const onView = {
      name: ring.name,
      ...(bout === undefined ? {} : { bout }),
      ...(next === undefined ? {} : { next }),
    };
    return [ring.id, onView] as const;
  });
  return {
    ...seenBy(hall, sitting),
    kind: "wall",
    rings: Object.fromEntries(rings),
    order: hall.meet.rings.map((ring) => ring.id),
  };
}
