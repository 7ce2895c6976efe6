/** Holds connections and sockets to the limits: how many there may be, what they may send, and what may wait for them. */
import type { Server as HttpServer } from "node:http";
import type { Socket as Line } from "node:net";
import type { Duplex } from "node:stream";
import type { Server, Socket } from "socket.io";
import { addressGroup, bucket, type Limits } from "./limits.ts";

/** The path of the sockets; an upgrade to any other is none of ours. */
const SOCKETS = "/socket.io/";

/** Connections by address; the one too many is closed before a byte of it is read. */
export function limitConnections(server: HttpServer, limits: Limits): void {
  const standing = new Map<string, number>();
  server.maxConnections = limits.connections;
  server.maxHeadersCount = limits.headerLines;
  server.on("connection", (line: Line) => {
    const from = addressGroup(line.remoteAddress);
    const count = (standing.get(from) ?? 0) + 1;
    if (count > limits.connectionsAnAddress) return void line.destroy();
    standing.set(from, count);
    line.once("close", () => {
      const rest = (standing.get(from) ?? 1) - 1;
      if (rest > 0) standing.set(from, rest);
      else standing.delete(from);
    });
  });
  server.on("upgrade", (request, line: Duplex) => {
    // Left alone it would stand half open for as long as the other side likes.
    if (!(request.url ?? "").startsWith(SOCKETS)) line.destroy();
  });
}

type Conn = Socket["conn"];

interface Packet {
  readonly type: string;
  readonly data?: string | Uint8Array;
}

/** Bytes of a packet on the line; a text's letters count as one each, which is close enough for a limit. */
const sizeOf = ({ data }: Packet): number => data?.length ?? 0;

/** Why a connection was cut. */
export type Cut = "sends too much" | "does not read";

export interface CrowdingIn {
  readonly limits: Limits;
  readonly now: () => number;
  readonly cut: (why: Cut) => void;
}

/** At once and without a word: whoever does not read would not read the goodbye either. */
const cutOff = (conn: Conn): void => void conn.request.socket.destroy();

/** [W35] Everything that comes in is counted, answered or not. */
function limitSending(conn: Conn, { limits, now, cut }: CrowdingIn): void {
  const mayPass = bucket(limits.patience, limits.patienceASecond, now);
  conn.on("packet", (packet: Packet) => {
    if (mayPass(1 + Math.floor(sizeOf(packet) / limits.bytesAMessage))) return;
    cut("sends too much");
    cutOff(conn);
  });
}

/** [W36] What waits for a device is bounded: the packets in the line's own buffer and those behind them. */
function limitWaiting(conn: Conn, { limits, cut }: CrowdingIn): void {
  let onTheWay = 0;
  let behind = 0;
  conn.on("packetCreate", (packet: Packet) => {
    const waits = onTheWay + behind;
    behind += sizeOf(packet);
    // One thing alone may be large: a whole view goes to whoever reads, however large it is.
    if (waits === 0 || waits + sizeOf(packet) <= limits.waitingBytes) return;
    cut("does not read");
    cutOff(conn);
  });
  conn.on("flush", () => {
    onTheWay += behind;
    behind = 0;
  });
  // The transport says so when the last packet of what was flushed has left this process.
  conn.transport.on("drain", () => (onTheWay = 0));
}

/** A closed socket waits for the other side's goodbye; a side that is half gone would keep the line for long. */
function limitGoodbye(conn: Conn, { limits }: CrowdingIn): void {
  conn.once("close", (why: string) => {
    const line = conn.request.socket;
    if (why === "ping timeout") return void line.destroy();
    const late = setTimeout(() => line.destroy(), limits.goodbyeMs);
    line.once("close", () => clearTimeout(late));
  });
}

/** Holds every socket to the limits from its first packet on, whether or not it has a seat. */
export function limitSockets(io: Server, around: CrowdingIn): void {
  io.engine.on("connection", (conn: Conn) => {
    limitSending(conn, around);
    limitWaiting(conn, around);
    limitGoodbye(conn, around);
  });
}
