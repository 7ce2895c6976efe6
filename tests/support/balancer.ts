/** A plain TCP balancer: each connection goes to the next server that takes it, and ends with it. */
import { connect, createServer, type Socket } from "node:net";

export interface Balancer {
  readonly url: string;
  /** Connections carried to each port so far. */
  readonly carried: ReadonlyMap<number, number>;
  close(): Promise<void>;
}

/** Opens a socket to the first of `ports` that takes one; rejects when none does. */
async function reach(ports: readonly number[]): Promise<{ socket: Socket; port: number }> {
  for (const port of ports) {
    const socket = connect(port, "127.0.0.1");
    const taken = await new Promise<boolean>((done) => {
      socket.once("connect", () => done(true));
      socket.once("error", () => done(false));
    });
    if (taken) return { socket, port };
  }
  throw new Error("no server takes a connection");
}

function join(here: Socket, there: Socket): void {
  here.pipe(there);
  there.pipe(here);
  const end = (): void => {
    here.destroy();
    there.destroy();
  };
  for (const socket of [here, there]) socket.on("error", end).on("close", end);
}

export async function openBalancer(ports: readonly number[]): Promise<Balancer> {
  const carried = new Map<number, number>();
  const open = new Set<Socket>();
  let turn = 0;
  const server = createServer((here) => {
    open.add(here);
    here.once("close", () => open.delete(here)).on("error", () => here.destroy());
    const first = (turn += 1) % ports.length;
    reach([...ports.slice(first), ...ports.slice(0, first)]).then(
      ({ socket, port }) => {
        carried.set(port, (carried.get(port) ?? 0) + 1);
        if (here.destroyed) socket.destroy();
        else join(here, socket);
      },
      () => here.destroy(),
    );
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const address = server.address();
  if (address === null || typeof address === "string") throw new Error("the balancer has no port");
  return {
    url: `http://127.0.0.1:${address.port}`,
    carried,
    async close() {
      for (const socket of open) socket.destroy();
      await new Promise((done) => server.close(done));
    },
  };
}
