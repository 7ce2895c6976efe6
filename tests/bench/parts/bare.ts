/**
 * The floor of the fan-out: a server that knows nothing and sends what Garland sent, byte for byte and room for room, over
 * socket.io or over ws alone.
 */
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { Server } from "socket.io";
import { WebSocketServer, type WebSocket } from "ws";
import { answerParent, usage } from "../../support/child.ts";
import type { Broadcast } from "./crowd.ts";

/** What each press sends, the messages read already: a server of one's own would hold them as objects too. */
let script: { readonly room: string; readonly message: unknown }[][] = [];
let send = (_room: string, _message: unknown): void => undefined;
let close = async (): Promise<void> => undefined;

const http = createServer();
const listening = (): Promise<string> =>
  new Promise((done) =>
    http.listen(0, "127.0.0.1", () => done(`127.0.0.1:${(http.address() as AddressInfo).port}`)),
  );

function press(no: number): void {
  for (const { room, message } of script[no] ?? []) send(room, message);
}

/** The whole script over and over, as fast as the screens can be told. */
async function warmUp(times: number): Promise<void> {
  for (let left = times; left > 0; left -= 1)
    for (const no of script.keys()) {
      press(no);
      await new Promise((done) => setTimeout(done, 1));
    }
}

function openSocketIo(): void {
  const io = new Server(http, { serveClient: false, perMessageDeflate: false, httpCompression: false });
  io.on("connection", (socket) => {
    const { room } = socket.handshake.auth as { room: string };
    void socket.join(room);
    socket.on("press", (no: number, answer: (done: object) => void) => {
      press(no);
      answer({ ok: true, no });
    });
  });
  send = (room, message) => io.to(room).emit("patch", message);
  close = async () => io.close();
}

function openWs(): void {
  const rooms = new Map<string, Set<WebSocket>>();
  const server = new WebSocketServer({ server: http, perMessageDeflate: false });
  server.on("connection", (socket, request) => {
    const room = decodeURIComponent((request.url ?? "/").slice(1));
    rooms.set(room, (rooms.get(room) ?? new Set()).add(socket));
    socket.on("message", (text) => {
      const { no } = JSON.parse(text.toString()) as { no: number };
      press(no);
      socket.send(JSON.stringify(["answer", no]));
    });
  });
  send = (room, message) => {
    const frame = JSON.stringify(["patch", message]);
    for (const each of rooms.get(room) ?? []) each.send(frame);
  };
  close = async () => {
    for (const client of server.clients) client.terminate();
    server.close();
    http.close();
  };
}

answerParent(
  {
    open(kind: "socket.io" | "ws") {
      if (kind === "ws") openWs();
      else openSocketIo();
      return listening();
    },
    script(presses: readonly Broadcast[]) {
      script = presses.map((each) =>
        each.map(({ room, text }) => ({ room, message: JSON.parse(text) as unknown })),
      );
    },
    "warm up": warmUp,
    usage: (collect: boolean) => usage(collect),
  },
  () => close(),
);
