/** Clients that send their commands one after the other, each until it is answered, over whichever process they reach. */
import { io } from "socket.io-client";
import type { BoutCommand } from "../../engine/index.ts";
import type { Answered, Patch, Shown } from "../../table-ui/wire/messages.ts";
import { applyPatch } from "../../table-ui/wire/patch.ts";
import type { CoachView, View } from "../../table-ui/wire/views.ts";

export interface Sender {
  /** What was said `ok`, by command id. */
  readonly acknowledged: ReadonlyMap<string, { readonly bout: string; readonly version: number }>;
  /** Refusals that were not "try again". */
  readonly refused: readonly string[];
  /** Times a command was sent again because no answer had come. */
  readonly again: number;
  /** Views that showed less than one before. */
  readonly back: readonly string[];
  /** Connections that this client had. */
  readonly connections: number;
  /** Sends all of these; resolves when each was answered for good. */
  send(commands: Iterable<{ readonly bout: string; readonly command: BoutCommand }>): Promise<void>;
  close(): void;
}

/** How much a view shows of the log: nothing of it may ever be missing again. */
const seenIn = (view: CoachView): number =>
  Object.values(view.bouts).reduce((sum, { order }) => sum + order.length, 0);

export function openSender(url: string, path: string, name: string): Sender {
  const acknowledged = new Map<string, { bout: string; version: number }>();
  const refused: string[] = [];
  const back: string[] = [];
  let again = 0;
  let connections = 0;
  let version = -1;
  let view: View | undefined;
  let most = 0;
  const socket = io(url, {
    transports: ["websocket"],
    auth: { secret: path.replace("/seat/", "") },
    forceNew: true,
    reconnectionDelay: 50,
    reconnectionDelayMax: 500,
  });
  function show(v: number, next: View): void {
    version = v;
    view = next;
    if (next.kind !== "coach") return;
    const seen = seenIn(next);
    if (seen < most) back.push(`${name}: ${most} exchanges, then ${seen}`);
    most = Math.max(most, seen);
  }
  socket.on("connect", () => (connections += 1));
  socket.on("view", ({ v, view: next }: Shown) => show(v, next));
  socket.on("patch", ({ from, v, patch }: Patch) => {
    if (from === version) show(v, applyPatch(view, patch) as View);
  });
  // A server that closes ends the socket itself, and then only a call brings it back.
  socket.on("disconnect", (why) => why === "io server disconnect" && setTimeout(() => socket.connect(), 50));

  /** One sending: the answer, or none because the line was cut. */
  const once = (message: object): Promise<Answered | undefined> =>
    new Promise((done) => {
      const cut = (): void => done(undefined);
      socket.once("disconnect", cut);
      socket.emit("command", message, (answer: Answered) => {
        socket.off("disconnect", cut);
        done(answer);
      });
    });
  const connected = (): Promise<void> =>
    new Promise((done) => (socket.connected ? done() : socket.once("connect", () => done())));

  async function sendOne(id: string, bout: string, command: BoutCommand): Promise<void> {
    for (;;) {
      await connected();
      const answer = await once({ id, on: { bout }, command });
      if (answer?.ok === true) {
        acknowledged.set(id, { bout, version: answer.version });
        return;
      }
      // No answer, or none for good: nobody knows whether it happened, so the same command goes out again.
      const passes = answer === undefined || ["read-only", "too-many"].includes(answer.refusal.refused);
      if (!passes) {
        refused.push(`${id}: ${JSON.stringify(answer)}`);
        return;
      }
      again += 1;
      if (answer !== undefined) await new Promise((done) => setTimeout(done, 100));
    }
  }

  return {
    acknowledged,
    refused,
    back,
    get again() {
      return again;
    },
    get connections() {
      return connections;
    },
    async send(commands) {
      let n = 0;
      for (const { bout, command } of commands) await sendOne(`${name}-${n++}`, bout, command);
    },
    close: () => socket.close(),
  };
}
