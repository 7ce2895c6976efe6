/** A way to a PostgreSQL that cuts a connection at a chosen moment, as a network may. */
import { once } from "node:events";
import { connect, createServer, type AddressInfo, type Socket } from "node:net";

/**
 * - "before": the statement never arrives.
 * - "after": the statement is carried out and committed; its answer never arrives.
 * - "late": the statement is on the way, the connection is lost, and it arrives only when `deliver` is called.
 */
export type Cut = "before" | "after" | "late";

export interface Cutting {
  /** Resolves when the connection has been cut. */
  readonly done: Promise<void>;
  /** Lets a "late" statement arrive; resolves when the server has answered it, or ended the connection. */
  deliver(): Promise<void>;
}

export interface CuttingProxy {
  readonly port: number;
  /** The next message to the server that holds this text is cut, once. */
  cut(text: string, how: Cut): Cutting;
  close(): Promise<void>;
}

/**
 * ReadyForQuery of a session outside a transaction: the server sends it when it has committed
 * (https://www.postgresql.org/docs/current/protocol-message-formats.html#PROTOCOL-MESSAGE-FORMATS-READYFORQUERY).
 */
const READY = Buffer.from("Z\0\0\0\x05I", "latin1");

interface Armed {
  readonly text: string;
  readonly how: Cut;
  readonly happened: () => void;
  deliver: () => Promise<void>;
}

export async function openCuttingProxy(port: number): Promise<CuttingProxy> {
  const sockets = new Set<Socket>();
  let armed: Armed | undefined;

  const keep = (socket: Socket): void => {
    sockets.add(socket);
    socket.on("close", () => sockets.delete(socket));
    // A cut connection is what this is for.
    socket.on("error", () => undefined);
  };

  function cutNow(client: Socket, server: Socket, bytes: Buffer, cut: Armed): void {
    armed = undefined;
    client.removeAllListeners("data");
    if (cut.how === "after") {
      server.removeAllListeners("data");
      let answer = Buffer.alloc(0);
      server.on("data", (chunk: Buffer) => {
        answer = Buffer.concat([answer, chunk]);
        if (!answer.subarray(-READY.length).equals(READY)) return;
        client.destroy();
        server.destroy();
        cut.happened();
      });
      server.write(bytes);
      return;
    }
    client.destroy();
    if (cut.how === "before") server.destroy();
    else cut.deliver = () => deliver(server, bytes);
    cut.happened();
  }

  const listener = createServer((client) => {
    const server = connect(port, "127.0.0.1");
    keep(client);
    keep(server);
    client.on("data", (bytes: Buffer) => {
      if (armed !== undefined && bytes.includes(armed.text)) cutNow(client, server, bytes, armed);
      else server.write(bytes);
    });
    server.on("data", (bytes: Buffer) => client.write(bytes));
    server.on("close", () => client.destroy());
    // The end of a client is the server's business only once nothing of it is held back.
    client.on("end", () => server.end());
  });
  listener.listen(0, "127.0.0.1");
  await once(listener, "listening");

  return {
    port: (listener.address() as AddressInfo).port,
    cut(text, how) {
      let happened = (): void => undefined;
      const done = new Promise<void>((resolve) => (happened = resolve));
      const cut: Armed = {
        text,
        how,
        happened,
        deliver: () => Promise.reject(new Error("nothing is held back")),
      };
      armed = cut;
      return { done, deliver: () => cut.deliver() };
    },
    async close() {
      for (const socket of sockets) socket.destroy();
      listener.close();
      await once(listener, "close");
    },
  };
}

async function deliver(server: Socket, bytes: Buffer): Promise<void> {
  if (server.destroyed) return;
  const answered = new Promise<void>((resolve) => {
    server.once("data", () => resolve());
    server.once("close", () => resolve());
  });
  server.write(bytes);
  await answered;
  server.destroy();
}
