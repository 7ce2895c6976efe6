/** A device that speaks the sockets' protocol by hand, so that it can send what no library would. */
import { once } from "node:events";
import { connect, type Socket as Line } from "node:net";
import { WebSocket } from "ws";

/** engine.io 4 and socket.io 5: the first digit is the packet of the line, the second that of the socket. */
const OPEN = "0";
const PING = "2";
const PONG = "3";
const CONNECTED = "40";
const REFUSED = "44";
const ANSWER = "43";

export const socketUrl = (url: string): string =>
  `${url.replace("http", "ws")}/socket.io/?EIO=4&transport=websocket`;

export class RawSeat {
  readonly ws: WebSocket;
  /** The close code, once it is closed; 1006 where the line was cut without one. */
  closed: number | undefined;
  #next = 0;
  readonly #asked = new Map<number, (answer: unknown) => void>();

  private constructor(ws: WebSocket) {
    this.ws = ws;
    ws.on("message", (data: Buffer) => this.#hear(data.toString()));
    ws.on("close", (code) => (this.closed = code));
    ws.on("error", () => undefined);
  }

  /** Opens the line without taking a seat. */
  static async open(url: string): Promise<RawSeat> {
    const seat = new RawSeat(new WebSocket(socketUrl(url)));
    await seat.heard((text) => text.startsWith(OPEN));
    return seat;
  }

  /** Opens the line and sits down by the seat's path. */
  static async sit(url: string, path: string): Promise<RawSeat> {
    const seat = await RawSeat.open(url);
    const answer = seat.heard((text) => text.startsWith(CONNECTED) || text.startsWith(REFUSED));
    seat.ws.send(`40${JSON.stringify({ secret: path.replace("/seat/", "") })}`);
    if (!(await answer).startsWith(CONNECTED)) throw new Error("no seat");
    return seat;
  }

  /** The next text that fits. */
  heard(fits: (text: string) => boolean): Promise<string> {
    return new Promise((done) => {
      const listen = (data: Buffer): void => {
        if (!fits(data.toString())) return;
        this.ws.off("message", listen);
        done(data.toString());
      };
      this.ws.on("message", listen);
    });
  }

  #hear(text: string): void {
    if (text === PING) this.ws.send(PONG);
    if (!text.startsWith(ANSWER)) return;
    const bracket = text.indexOf("[");
    const id = Number(text.slice(2, bracket));
    const [answer] = JSON.parse(text.slice(bracket)) as unknown[];
    this.#asked.get(id)?.(answer);
    this.#asked.delete(id);
  }

  /** Sends an event with the text of its arguments as it stands, and waits for the answer. */
  ask(event: string, args: string): Promise<unknown> {
    const id = (this.#next += 1);
    return new Promise((done) => {
      this.#asked.set(id, done);
      this.ws.send(`42${id}[${JSON.stringify(event)}${args === "" ? "" : ","}${args}]`);
    });
  }

  /** The same without an answer's address. */
  tell(event: string, args: string): void {
    this.ws.send(`42[${JSON.stringify(event)}${args === "" ? "" : ","}${args}]`);
  }

  async gone(): Promise<number> {
    if (this.closed === undefined) await once(this.ws, "close");
    return this.closed ?? 0;
  }

  leave(): void {
    this.ws.terminate();
  }
}

export interface Bytes {
  readonly line: Line;
  /** All that came back so far. */
  said(): string;
  /** Resolves to all that came back, once the other side has ended the line. */
  readonly ended: Promise<string>;
}

/** A bare line to the server: bytes as they stand. */
export async function bytesTo(url: string, from = "127.0.0.1"): Promise<Bytes> {
  const { hostname, port } = new URL(url);
  const line = connect({ host: hostname, port: Number(port), localAddress: from, allowHalfOpen: true });
  let said = "";
  line.on("data", (chunk: Buffer) => (said += chunk.toString("latin1")));
  line.on("error", () => undefined);
  const ended = new Promise<string>((done) => {
    line.once("end", () => done(said));
    line.once("close", () => done(said));
  });
  await once(line, "connect");
  return { line, said: () => said, ended };
}

/** One frame of a websocket as a client masks it (RFC 6455, section 5.2); `length` lies about the size where it is said. */
export function frame(opcode: number, payload: Buffer, { fin = true, rsv = 0, masked = true } = {}): Buffer {
  const head = [(fin ? 0x80 : 0) | rsv | opcode];
  const size = payload.length;
  const mask = masked ? 0x80 : 0;
  if (size < 126) head.push(mask | size);
  else if (size < 65_536) head.push(mask | 126, size >> 8, size & 255);
  else
    head.push(
      mask | 127,
      0,
      0,
      0,
      0,
      (size >>> 24) & 255,
      (size >>> 16) & 255,
      (size >>> 8) & 255,
      size & 255,
    );
  // A mask of zeros leaves the payload as it is.
  return Buffer.concat([Buffer.from(head), Buffer.alloc(masked ? 4 : 0), payload]);
}

/** The request that turns a bare line into a websocket (RFC 6455, section 4.1). */
export const upgradeOf = (url: string, more = ""): string =>
  [
    "GET /socket.io/?EIO=4&transport=websocket HTTP/1.1",
    `Host: ${new URL(url).host}`,
    "Upgrade: websocket",
    "Connection: Upgrade",
    "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
    "Sec-WebSocket-Version: 13",
    `${more}\r\n\r\n`,
  ]
    .join("\r\n")
    .replace("\r\n\r\n\r\n", "\r\n\r\n");
