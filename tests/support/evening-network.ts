/** The hall's network and clocks for the simulated evening: access points that can fail, and time that runs faster. */
import { connect, createServer, type AddressInfo, type Server, type Socket } from "node:net";

/** A way to the server that can be cut, as Wi-Fi is: lines break, and nobody gets a new one until it is mended. */
export interface AccessPoint {
  readonly port: number;
  /** Whether lines are let through. */
  readonly open: boolean;
  cut(): void;
  mend(): void;
  close(): Promise<void>;
}

/** Opens a way to `to`, a port of this machine. */
export async function openAccessPoint(to: number): Promise<AccessPoint> {
  const lines = new Set<Socket>();
  let isOpen = true;
  const server: Server = createServer((device) => {
    if (!isOpen) return void device.destroy();
    const onward = connect(to, "127.0.0.1");
    for (const [one, other] of [
      [device, onward],
      [onward, device],
    ] as const) {
      lines.add(one);
      one.on("error", () => other.destroy());
      one.on("close", () => {
        lines.delete(one);
        other.destroy();
      });
      one.pipe(other);
    }
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const cut = (): void => {
    isOpen = false;
    for (const line of lines) line.destroy();
  };
  return {
    port: (server.address() as AddressInfo).port,
    get open() {
      return isOpen;
    },
    cut,
    mend: () => void (isOpen = true),
    async close() {
      cut();
      await new Promise((done) => server.close(done));
    },
  };
}

/**
 * Makes this process's devices live `times` faster: their performance.now, which is all that a page takes time from.
 * Gives what puts it back.
 */
export function liveFaster(times: number): () => void {
  const real = performance.now;
  performance.now = () => real.call(performance) * times;
  return () => void (performance.now = real);
}

/** What a page finds around it and Node lacks: where it was loaded from, and frames to paint in. */
export function pageAt(port: number, path: string): void {
  const host = `127.0.0.1:${port}`;
  Object.assign(globalThis, {
    location: { protocol: "http:", host, hostname: "127.0.0.1", port: String(port), pathname: path },
    requestAnimationFrame: (paint: () => void) => setTimeout(paint, 0),
  });
}
