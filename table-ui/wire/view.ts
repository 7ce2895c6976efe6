/** The view of a seat, whichever kind it is. Pure: the same hall and seat give the same view. */
import type { Hall, Sitting } from "./hall.ts";
import { coachView } from "./view-coach.ts";
import { fencerView } from "./view-fencer.ts";
import { judgeView } from "./view-judge.ts";
import { tableView } from "./view-table.ts";
import { wallView } from "./view-wall.ts";
import type { View } from "./views.ts";

/** What this seat may see, as plain JSON without nulls and without undefined. */
export function viewFor(hall: Hall, sitting: Sitting): View {
  switch (sitting.kind) {
    case "coach":
      return coachView(hall, sitting);
    case "table":
      return tableView(hall, sitting);
    case "judge":
      return judgeView(hall, sitting);
    case "fencer":
      return fencerView(hall, sitting);
    case "wall":
      return wallView(hall, sitting);
  }
}
