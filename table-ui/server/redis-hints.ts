/** Hints over Redis, by socket.io's Redis streams adapter. Nothing is kept there: Redis may be lost and come back empty. */
import { createAdapter } from "@socket.io/redis-streams-adapter";
import { createClient } from "@redis/client";
import { Server } from "socket.io";
import type { Logger } from "pino";
import { asHint, type Hints, type OpenHints } from "./hints.ts";

const CHANNEL = "garland";
const EVENT = "hint";
/** Between tries to reach a Redis that is lost. */
const RETRY_MS = 500;

/** The address as it may be shown: without its password. */
export function withoutPassword(address: string): string {
  const url = new URL(address);
  url.password = "";
  return url.toString();
}

/**
 * Hints over the Redis at `address` ("redis://host:port"). It need not be there yet: until it is, nothing is told and
 * everybody finds out by looking into the ledger.
 */
export function redisHints(address: string, log?: Logger): OpenHints {
  return async (heard): Promise<Hints> => {
    const client = createClient({ url: address, socket: { reconnectStrategy: () => RETRY_MS } });
    let wasLost = false;
    // Without a listener a lost connection would end the process. Each try fails anew; it is said once.
    client.on("error", (error: Error) => {
      if (!wasLost) log?.warn({ err: error }, "the fan-out is out of reach; screens follow by looking");
      wasLost = true;
    });
    client.on("ready", () => {
      if (wasLost) log?.warn("the fan-out is back");
      wasLost = false;
    });
    // The adapter does not look at what becomes of a message to other servers; a hint that fails is one that is lost.
    const publish = client.publish.bind(client);
    const value: typeof publish = async (...message) =>
      client.isReady ? publish(...message).catch(() => 0) : 0;
    Object.defineProperty(client, "publish", { value });
    const connecting = client.connect();
    connecting.catch(() => undefined);

    // A server without a port: its own adapter carries the hints, so that no hint can ever reach a screen.
    const line = new Server({ serveClient: false });
    line.adapter(createAdapter(client, { streamName: CHANNEL, channelPrefix: CHANNEL, onlyPlaintext: true }));
    line.on(EVENT, (told: unknown) => {
      const hint = asHint(told);
      if (hint !== undefined) heard(hint);
    });
    return {
      tell: (hint) => line.serverSideEmit(EVENT, hint),
      get open() {
        return client.isReady;
      },
      async close() {
        await line.close();
        client.destroy();
      },
    };
  };
}
