/** The wall goes live: patches the finished HTML and runs every ring's clock from the server's time. */
import "./wall.css";
import type { WallView } from "../../wire/views.ts";
import { wallPage, wallParts, wallShape } from "../paint/wall.ts";
import { openLink } from "../shared/link.ts";
import { changed, everySecond, livePage } from "../shared/live.ts";

const place = document.querySelector<HTMLElement>("#page");
if (place) start(place);

function start(root: HTMLElement): void {
  const page = livePage(root);
  let view: WallView | undefined;
  let shape = "";

  const link = openLink<WallView>({
    view(now, before) {
      view = now;
      page.stands(now.standing);
      const next = wallShape(now);
      if (next !== shape) page.renew(wallPage(now, link.now()));
      shape = next;
      page.paint(wallParts(now, link.now()));
      page.mark(new Set(now.order.flatMap((id) => changed(now.rings[id]?.bout, before?.rings[id]?.bout))));
    },
    state: (state, since) => page.say(state, since),
  });

  everySecond(() => {
    if (view && view.order.some((id) => view?.rings[id]?.bout?.clock.running))
      page.paint(wallParts(view, link.now()));
  });
}
