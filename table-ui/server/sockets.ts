/** The socket's door and its four messages: every seat gets its view, then patches; every message gets an answer. */
import type { Server, Socket } from "socket.io";
import type { Logger } from "pino";
import { refusal, type Refusal } from "../../engine/index.ts";
import type { StoredSeat } from "../../engine/ledger/open.ts";
import {
  checkCoachRequest,
  checkSent,
  checkTimeAsked,
  checkViewAsked,
  idOf,
  secretOf,
} from "../wire/checks.ts";
import type { Sitting } from "../wire/hall.ts";
import type { Answered, CoachAnswer } from "../wire/messages.ts";
import { answerCoach } from "./coach.ts";
import type { House } from "./house.ts";
import { openRooms, roomOf, type Rooms } from "./rooms.ts";
import { sittingIn } from "./seats.ts";

/** Messages that one device may send in a burst, and how many it gains back a second. */
const BURST = 120;
const A_SECOND = 40;

/** A bucket of messages that refills by the clock. */
function bucket(now: () => number): () => boolean {
  let left = BURST;
  let last = now();
  return () => {
    const at = now();
    left = Math.min(BURST, left + ((at - last) / 1000) * A_SECOND);
    last = at;
    if (left < 1) return false;
    left -= 1;
    return true;
  };
}

const tooMany = refusal("too-many", "Too many messages from this device; wait a moment and send it again.");
const failed = refusal("read-only", "The server could not do this; nothing was changed. Send it again.");
const noSeat = refusal("no-such-seat", "This link opens no seat. Ask the coach for a new one.");

class NoSeat extends Error {
  readonly data: Refusal = noSeat;
}

type Ack = (answer: unknown) => void;

const asAnswered = (message: unknown, why: Refusal): Answered => ({
  ok: false,
  id: idOf(message),
  refusal: why,
});
const asCoachAnswer = (_: unknown, why: Refusal): CoachAnswer => ({ ok: false, refusal: why });

export interface Sockets {
  readonly rooms: Rooms;
  /** From now on no message is taken in; devices send theirs again after the next start. */
  stopTaking(): void;
  /** Tells every screen that the server closes. */
  sayGoodbye(): void;
}

interface Held {
  readonly seat: StoredSeat;
  readonly sitting: Sitting;
}

export function openSockets(house: House, io: Server, log: Logger): Sockets {
  const rooms = openRooms(house, io);
  let closed = false;

  const gone = (seat: string): void => {
    io.local.in(`seat:${seat}`).emit("gone", { why: "revoked" });
    io.local.in(`seat:${seat}`).disconnectSockets(true);
  };
  house.onEnded((seats) => seats.forEach(gone));

  async function admit(socket: Socket): Promise<void> {
    // Whoever comes from another process must not be shown less than there.
    await house.catchUp();
    const secret = secretOf(socket.handshake.auth);
    const seat = secret === undefined ? undefined : house.seats.find(secret);
    const sitting = seat && sittingIn(seat);
    if (seat === undefined || sitting === undefined) throw new NoSeat(noSeat.sentence);
    socket.data = { seat, sitting } satisfies Held;
  }
  io.use((socket, next) => {
    admit(socket).then(
      () => next(),
      // A ledger out of reach: the screen comes again, and meanwhile says that it has lost the server.
      (error: unknown) => next(error instanceof NoSeat ? error : new Error("the ledger is out of reach")),
    );
  });

  io.on("connection", (socket) => {
    const { seat, sitting } = socket.data as Held;
    const presence = seat.kind === "judge" ? "judges" : "presence";
    house.presence.came(seat.id);
    void socket.join([roomOf(sitting), `seat:${seat.id}`]);
    socket.emit("view", rooms.show(sitting));
    house.changed(presence);
    socket.on("disconnect", () => {
      house.presence.left(seat.id);
      if (!closed && io.sockets.adapter.rooms.get(roomOf(sitting)) === undefined) rooms.leave(sitting);
      house.changed(presence);
    });
    listen(socket, seat.id, sitting);
  });

  /** One message: counted, answered, and never a reason for the server to fall. */
  function on(
    socket: Socket,
    name: string,
    refused: (message: unknown, why: Refusal) => unknown,
    answer: (message: unknown) => unknown,
    mayPass: () => boolean,
  ): void {
    socket.on(name, (message: unknown, ack: unknown) => {
      // Without an answer's address it is no message of ours.
      if (typeof ack !== "function" || closed) return;
      const reply = ack as Ack;
      if (!mayPass()) return reply(refused(message, tooMany));
      Promise.resolve()
        .then(() => answer(message))
        .then(reply, (error: unknown) => {
          log.error({ err: error, message: name }, "a message could not be answered");
          reply(refused(message, failed));
        });
    });
  }

  function listen(socket: Socket, seat: string, sitting: Sitting): void {
    const mayPass = bucket(house.now);
    // Revoked while the message was under way: the seat is looked up anew each time.
    const still = (): boolean => house.seats.get(seat)?.revoked === false;

    on(
      socket,
      "command",
      asAnswered,
      (message): Answered | Promise<Answered> => {
        const sent = checkSent(message);
        if (!sent.ok) return asAnswered(message, sent.refusal);
        return still() ? house.bouts.give(sitting, sent.value) : asAnswered(message, noSeat);
      },
      mayPass,
    );
    on(
      socket,
      "coach",
      asCoachAnswer,
      (message): CoachAnswer | Promise<CoachAnswer> => {
        if (sitting.kind !== "coach" || !still()) {
          return asCoachAnswer(message, refusal("not-your-seat", "Only the coach's seat can ask this."));
        }
        const asked = checkCoachRequest(message);
        return asked.ok
          ? answerCoach(house, sitting, asked.value, gone)
          : asCoachAnswer(message, asked.refusal);
      },
      mayPass,
    );
    on(
      socket,
      "view",
      asCoachAnswer,
      (message) => (checkViewAsked(message).ok ? rooms.show(sitting) : asCoachAnswer(message, badView)),
      mayPass,
    );
    on(
      socket,
      "time",
      asCoachAnswer,
      (message) => {
        const asked = checkTimeAsked(message);
        return asked.ok ? { t: asked.value.t, server: house.now() } : asCoachAnswer(message, asked.refusal);
      },
      mayPass,
    );
  }

  return {
    rooms,
    stopTaking() {
      closed = true;
    },
    sayGoodbye() {
      rooms.flush();
      io.local.emit("gone", { why: "closing" });
    },
  };
}

const badView = refusal("bad-message", "A view is asked for with an empty object.");
