/** The screens before a bare server: as many in each room as Garland's, and they count what comes. */
import { io } from "socket.io-client";
import { WebSocket } from "ws";
import { Applied, until, type Broadcast } from "./crowd.ts";

/** A bare server's screens. */
export interface BareCrowd {
  readonly applied: Applied;
  /** Presses; resolves when it is answered. */
  press(no: number): Promise<void>;
  leave(): void;
}

const seats = (broadcast: Broadcast): readonly string[] =>
  broadcast.flatMap(({ room, screens }) => Array.from({ length: screens }, () => room));

export async function sitAtSocketIo(address: string, broadcast: Broadcast): Promise<BareCrowd> {
  const applied = new Applied();
  const sockets = seats(broadcast).map((room) => {
    const socket = io(`http://${address}`, {
      transports: ["websocket"],
      auth: { room },
      forceNew: true,
      reconnection: false,
    });
    socket.on("patch", () => applied.one());
    return socket;
  });
  await until(() => sockets.every(({ connected }) => connected), "the bare screens");
  return {
    applied,
    press: async (no) => void (await sockets[0]?.emitWithAck("press", no)),
    leave: () => sockets.forEach((socket) => socket.disconnect()),
  };
}

export async function sitAtWs(address: string, broadcast: Broadcast): Promise<BareCrowd> {
  const applied = new Applied();
  let answered = (): void => undefined;
  const sockets = seats(broadcast).map((room) => {
    const socket = new WebSocket(`ws://${address}/${encodeURIComponent(room)}`);
    socket.on("message", (text) => {
      const [what] = JSON.parse(text.toString()) as [string];
      if (what === "patch") applied.one();
      else answered();
    });
    return socket;
  });
  await until(() => sockets.every(({ readyState }) => readyState === WebSocket.OPEN), "the bare screens");
  return {
    applied,
    press: (no) =>
      new Promise((done) => {
        answered = done;
        sockets[0]?.send(JSON.stringify({ no }));
      }),
    leave: () => sockets.forEach((socket) => socket.close()),
  };
}
