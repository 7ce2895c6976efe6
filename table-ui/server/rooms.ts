/**
 * Views and their patches. Seats that see the same share a room, so that a change is drawn once and sent once; only rooms
 * that a changed stream concerns are drawn again.
 */
import type { Server } from "socket.io";
import type { Hall, Sitting } from "../wire/hall.ts";
import type { Patch, Shown } from "../wire/messages.ts";
import { makePatch } from "../wire/patch.ts";
import type { View } from "../wire/views.ts";
import { boutOf } from "../wire/view-fencer.ts";
import { viewFor } from "../wire/view.ts";
import type { Changed } from "./changed.ts";
import type { House } from "./house.ts";
import type { Observer } from "./observer.ts";
import { MEET } from "./streams.ts";

/** The room of a seat: all who see the same. A judge's own vote makes a room of its own. */
export function roomOf(sitting: Sitting): string {
  switch (sitting.kind) {
    case "coach":
    case "wall":
      return `view:${sitting.kind}`;
    case "table":
      return `view:table:${sitting.ring}`;
    case "judge":
      return `view:judge:${sitting.seat}`;
    case "fencer":
      return `view:fencer:${sitting.person}`;
  }
}

interface Room {
  readonly sitting: Sitting;
  v: number;
  view: View;
  dirty: boolean;
}

export interface Rooms {
  /** The view that a seat shows now, at its room's version. */
  show(sitting: Sitting): Shown;
  /** Forgets a room that nobody sits in. */
  leave(sitting: Sitting): void;
  /** Sends what is still to be sent. */
  flush(): void;
  /** How many different views are kept. */
  readonly size: number;
}

/** Whether what has changed can change what a seat sees. */
function concerns(changed: Changed, sitting: Sitting, hall: Hall): boolean {
  // Who judges decides which votes are still sealed, for everybody.
  if (changed === MEET || changed === "people" || changed === "judges" || changed === "standing") return true;
  if (changed === "seats" || changed === "presence")
    return sitting.kind !== "fencer" && sitting.kind !== "wall";
  if (sitting.kind === "coach") return true;
  if (changed === "status") return false;
  const bout = changed.slice("bout/".length);
  switch (sitting.kind) {
    case "wall":
      return hall.meet.rings.some((ring) => ring.bout === bout);
    case "table":
    case "judge":
      return hall.meet.rings.some((ring) => ring.id === sitting.ring && ring.bout === bout);
    case "fencer": {
      const file = hall.bout(bout)?.bout;
      const own = file?.red === sitting.person || file?.blue === sitting.person;
      // A bout that runs before one's own changes how long one waits.
      return own || boutOf(hall.meet, sitting.person) === bout || waitsBehind(hall, sitting.person, bout);
    }
  }
}

function waitsBehind(hall: Hall, person: string, bout: string): boolean {
  const next = hall.meet.planned.find(({ red, blue }) => red === person || blue === person);
  return next !== undefined && hall.meet.rings.some((ring) => ring.id === next.ring && ring.bout === bout);
}

const withSeat = (view: View, seat: string): View => ({ ...view, seat });

export function openRooms(house: House, io: Server, observer: Observer): Rooms {
  const rooms = new Map<string, Room>();
  let due: NodeJS.Immediate | undefined;

  function redraw(name: string, room: Room, hall: Hall): void {
    room.dirty = false;
    const begun = performance.now();
    const { kind } = room.sitting;
    const next = viewFor(hall, room.sitting);
    // The time of drawing alone is no news.
    const patch = makePatch({ ...room.view, at: 0 }, { ...next, at: 0 });
    observer.redrawn(kind, (performance.now() - begun) / 1000);
    if (patch === undefined) return;
    const from = room.v;
    room.v += 1;
    room.view = next;
    const sent: Patch = { from, v: room.v, patch: { ...(patch as object), at: next.at } };
    // Each process counts the versions of its own rooms.
    io.local.to(name).emit("patch", sent);
    observer.patched(name, room.v, kind, io.sockets.adapter.rooms.get(name)?.size ?? 0);
  }

  function flush(): void {
    if (due !== undefined) clearImmediate(due);
    due = undefined;
    const hall = house.hall();
    for (const [name, room] of rooms) if (room.dirty) redraw(name, room, hall);
  }

  house.onChange((changed) => {
    const hall = house.hall();
    for (const room of rooms.values()) if (concerns(changed, room.sitting, hall)) room.dirty = true;
    due ??= setImmediate(flush);
  });

  return {
    show(sitting) {
      const name = roomOf(sitting);
      let room = rooms.get(name);
      if (room === undefined) {
        room = { sitting, v: 1, view: viewFor(house.hall(), sitting), dirty: false };
        rooms.set(name, room);
      } else if (room.dirty) redraw(name, room, house.hall());
      return { v: room.v, view: { ...withSeat(room.view, sitting.seat), at: house.now() } };
    },
    leave(sitting) {
      rooms.delete(roomOf(sitting));
      observer.presses.left(roomOf(sitting));
    },
    flush,
    get size() {
      return rooms.size;
    },
  };
}
