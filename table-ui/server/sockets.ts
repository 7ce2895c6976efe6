/** The socket's door and its four messages: every seat gets its view, then patches; every message gets an answer. */
import type { Server, Socket } from "socket.io";
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
import { notRecorded } from "../wire/standing.ts";
import { answerCoach } from "./coach.ts";
import type { Enter } from "./entrance.ts";
import type { House } from "./house.ts";
import { bucket, LIMITS, type Limits, type MayPass } from "./limits.ts";
import { noSuchSeat } from "./may.ts";
import type { Observer } from "./observer.ts";
import { openRooms, roomOf, type Rooms } from "./rooms.ts";
import { troubleIn } from "./standing.ts";

const tooMany = refusal("too-many", "Too many messages from this device; wait a moment and send it again.");
const failed = refusal("read-only", "The server could not do this; nothing was changed. Send it again.");
const tooManyGuesses = refusal(
  "too-many",
  "Too many links from here opened nothing. Wait a minute, then open your link again.",
);

/** The messages that are answered; the names of all others are unknown. */
const OURS: readonly unknown[] = ["command", "coach", "view", "time"];

/** What a device is told that is not let in. */
class NotLetIn extends Error {
  readonly data: Refusal;
  constructor(why: Refusal) {
    super(why.sentence);
    this.data = why;
  }
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

/** Whose messages they are, and their numbers. */
interface From {
  readonly seat: StoredSeat;
  readonly line: number;
  next(): number;
}

interface Held {
  readonly seat: StoredSeat;
  readonly sitting: Sitting;
}

export function openSockets(
  house: House,
  io: Server,
  observer: Observer,
  enter: Enter,
  limits: Limits = LIMITS,
): Sockets {
  const rooms = openRooms(house, io, observer);
  let closed = false;
  let lines = 0;

  const gone = (seat: string): void => {
    io.local.in(`seat:${seat}`).emit("gone", { why: "revoked" });
    io.local.in(`seat:${seat}`).disconnectSockets(true);
    const ended = house.seats.get(seat);
    if (ended !== undefined) observer.revoked(ended);
  };
  house.onEnded((seats) => seats.forEach(gone));

  /** Neither revoked nor issued anew since this device was let in. */
  const isStillGood = ({ id, secretHash }: StoredSeat): boolean => {
    const now = house.seats.get(id);
    return now?.revoked === false && now.secretHash === secretHash;
  };

  async function admit(socket: Socket): Promise<void> {
    const entered = await enter(secretOf(socket.handshake.auth), socket.handshake.address);
    if (entered.seat === undefined) {
      // A ledger out of reach: the screen comes again, and meanwhile says that it has lost the server.
      if (entered.shut === "away") throw new Error("the ledger is out of reach");
      observer.notLetIn(entered.shut === "revoked" ? "revoked-seat" : "bad-seat");
      throw new NotLetIn(entered.shut === "too many" ? tooManyGuesses : noSuchSeat);
    }
    socket.data = { seat: entered.seat, sitting: entered.sitting } satisfies Held;
  }
  io.use((socket, next) => {
    admit(socket).then(
      () => next(),
      (error: unknown) => next(error instanceof Error ? error : new Error("not let in")),
    );
  });

  io.on("connection", (socket) => {
    const { seat, sitting } = socket.data as Held;
    // Revoked between the door and here: nobody told this socket yet.
    if (!isStillGood(seat)) {
      socket.emit("gone", { why: "revoked" });
      return void socket.disconnect(true);
    }
    const presence = seat.kind === "judge" ? "judges" : "presence";
    const line = (lines += 1);
    house.presence.came(seat.id);
    observer.came(seat, line);
    socket.conn.on("packetCreate", (packet) => observer.sent(seat.kind, packet));
    void socket.join([roomOf(sitting), `seat:${seat.id}`]);
    socket.emit("view", rooms.show(sitting));
    house.changed(presence);
    socket.on("disconnect", () => {
      // A line without a seat is nobody's.
      socket.conn.close();
      house.presence.left(seat.id);
      observer.left(seat, line);
      if (!closed && io.sockets.adapter.rooms.get(roomOf(sitting)) === undefined) rooms.leave(sitting);
      house.changed(presence);
    });
    listen(socket, seat, sitting, line);
    socket.onAny((name: unknown, ...args: unknown[]) => {
      const ack = args.at(-1);
      if (typeof ack !== "function" || closed || OURS.includes(name)) return;
      const unknown = refusal("bad-message", "This server knows no such message; reload the page.");
      (ack as Ack)(asAnswered(args[0], unknown));
    });
  });

  /** One message: counted, answered, and never a reason for the server to fall. */
  function on(
    socket: Socket,
    name: string,
    refused: (message: unknown, why: Refusal) => unknown,
    answer: (message: unknown) => unknown,
    mayPass: MayPass,
    from: From,
  ): void {
    socket.on(name, (...args: unknown[]) => {
      // Without an answer's address it is no message of ours.
      const ack = args.at(-1);
      if (typeof ack !== "function" || closed) return;
      // One message comes at a time; more or none is a message of another kind.
      const message: unknown = args.length === 2 ? args[0] : args.slice(0, -1);
      const told = {
        name,
        message,
        seat: from.seat,
        line: from.line,
        ask: from.next(),
        arrived: house.now(),
      };
      const reply: Ack = (given) => {
        observer.answered({ ...told, answer: given });
        (ack as Ack)(given);
      };
      if (!mayPass()) return reply(refused(message, tooMany));
      Promise.resolve()
        .then(() => answer(message))
        .then(reply, (error: unknown) => {
          const trouble = troubleIn(error);
          if (trouble !== undefined) return reply(refused(message, notRecorded(trouble)));
          observer.failed(told, error);
          return reply(refused(message, failed));
        });
    });
  }

  function listen(socket: Socket, seated: StoredSeat, sitting: Sitting, line: number): void {
    let asked = 0;
    const from: From = { seat: seated, line, next: () => (asked += 1) };
    const mayPass = bucket(limits.burst, limits.aSecond, house.now);
    // Revoked while the message was under way: the seat is looked up anew each time, and once more when it is decided.
    const still = (): boolean => isStillGood(seated);

    on(
      socket,
      "command",
      asAnswered,
      (message): Answered | Promise<Answered> => {
        const sent = checkSent(message);
        if (!sent.ok) return asAnswered(message, sent.refusal);
        return still() ? house.bouts.give(sitting, sent.value, still) : asAnswered(message, noSuchSeat);
      },
      mayPass,
      from,
    );
    on(
      socket,
      "coach",
      asCoachAnswer,
      (message): CoachAnswer | Promise<CoachAnswer> => {
        if (!still()) return asCoachAnswer(message, noSuchSeat);
        if (sitting.kind !== "coach") {
          return asCoachAnswer(message, refusal("not-your-seat", "Only the coach's seat can ask this."));
        }
        const asked = checkCoachRequest(message);
        return asked.ok
          ? answerCoach(house, sitting, asked.value, gone)
          : asCoachAnswer(message, asked.refusal);
      },
      mayPass,
      from,
    );
    on(
      socket,
      "view",
      asCoachAnswer,
      (message) => {
        if (!still()) return asCoachAnswer(message, noSuchSeat);
        return checkViewAsked(message).ok ? rooms.show(sitting) : asCoachAnswer(message, badView);
      },
      mayPass,
      from,
    );
    on(
      socket,
      "time",
      asCoachAnswer,
      (message) => {
        const asked = checkTimeAsked(message);
        if (!asked.ok) return asCoachAnswer(message, asked.refusal);
        observer.reported(seated, roomOf(sitting), asked.value);
        return { t: asked.value.t, server: house.now() };
      },
      mayPass,
      from,
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
