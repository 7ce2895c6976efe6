/** A stage for pages without a server behind them: the built pages, sample views, and a socket that a test plays. */
import { createReadStream, existsSync, readFileSync } from "node:fs";
import { createServer, type Server as HttpServer } from "node:http";
import type { AddressInfo } from "node:net";
import { extname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { Server, type Socket } from "socket.io";
import { paintPages, readManifest, type Manifest, type Pages } from "../../table-ui/screens/paint/page.ts";
import type { Answered, Sent } from "../../table-ui/wire/messages.ts";
import type { FencerView, JudgeView, View, WallView } from "../../table-ui/wire/views.ts";
import { EIGHT } from "./fixtures.ts";

const BUILT = fileURLToPath(new URL("../../.build/pages", import.meta.url));
const TYPES: Readonly<Record<string, string>> = {
  ".js": "text/javascript",
  ".css": "text/css",
  ".svg": "image/svg+xml",
  ".woff2": "font/woff2",
};
/** As strict as the server's own. */
const POLICY =
  "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self'; font-src 'self'; base-uri 'none'; form-action 'self'";

type Staged = FencerView | WallView | JudgeView;

export interface Stage {
  /** The address of the seat with this view; the path's secret is the name. */
  url(name: string): string;
  readonly sent: readonly Sent[];
  /** Messages "view" that a page asked for. */
  readonly asked: number;
  /** How the next commands are answered; undefined leaves them without an answer. */
  answer: ((sent: Sent) => Answered) | undefined;
  patch(from: number, v: number, patch: unknown): void;
  show(v: number, view: View): void;
  gone(why: "revoked" | "closing"): void;
  /** The server goes away, and comes back on the same port. */
  leave(): Promise<void>;
  comeBack(): Promise<void>;
  close(): Promise<void>;
}

function documentOf(view: Staged, pages: Pages): string {
  if (view.kind === "fencer") return pages.fencer(view);
  return view.kind === "wall" ? pages.wall(view) : pages.app("judge", "Judge");
}

/** Serves these views by name. Loopback only, on a free port. */
export async function openStage(views: Readonly<Record<string, Staged>>): Promise<Stage> {
  if (!existsSync(join(BUILT, "manifest.json"))) throw new Error("The pages are not built: npm run build.");
  const manifest = JSON.parse(readFileSync(join(BUILT, "manifest.json"), "utf8")) as Manifest;
  const pages = paintPages(readManifest(manifest));
  const sent: Sent[] = [];
  const sockets = new Set<Socket>();
  let asked = 0;
  let latest: { v: number; view: View } | undefined;
  let port = 0;
  const started = performance.now();
  let http: HttpServer;
  let io: Server;

  const open = async (): Promise<void> => {
    http = createServer((request, response) => {
      const path = new URL(request.url ?? "/", "http://stage").pathname;
      const view = views[path.replace(/^\/seat\//, "")];
      if (view) {
        response.writeHead(200, { "content-type": "text/html", "content-security-policy": POLICY });
        response.end(documentOf(view, pages));
      } else if (/^\/assets\/[\w.-]+$/.test(path) && existsSync(join(BUILT, path))) {
        response.writeHead(200, { "content-type": TYPES[extname(path)] ?? "application/octet-stream" });
        createReadStream(join(BUILT, path)).pipe(response);
      } else response.writeHead(404).end();
    });
    io = new Server(http, { transports: ["websocket"] });
    io.on("connection", (socket) => {
      sockets.add(socket);
      socket.on("disconnect", () => sockets.delete(socket));
      const secret = (socket.handshake.auth as { secret?: string }).secret ?? "";
      const view = views[secret];
      if (view) socket.emit("view", (latest ??= { v: 1, view }));
      socket.on("time", ({ t }: { t: number }, done: (at: object) => void) =>
        done({ t, server: EIGHT + performance.now() - started }),
      );
      socket.on("view", (_none: unknown, done: (shown: unknown) => void) => {
        asked++;
        done(latest);
      });
      socket.on("command", (command: Sent, done: (answered: Answered) => void) => {
        sent.push(command);
        if (stage.answer) done(stage.answer(command));
      });
    });
    await new Promise<void>((done) => http.listen(port, "127.0.0.1", done));
    port = (http.address() as AddressInfo).port;
  };
  const close = async (): Promise<void> => {
    for (const socket of sockets) socket.disconnect(true);
    await io.close();
  };

  const stage: Stage = {
    url: (name) => `http://127.0.0.1:${port}/seat/${name}`,
    sent,
    get asked() {
      return asked;
    },
    answer: ({ id }) => ({ ok: true, id, version: 1 }),
    patch: (from, v, patch) => io.emit("patch", { from, v, patch }),
    show(v, view) {
      latest = { v, view };
      io.emit("view", latest);
    },
    gone: (why) => io.emit("gone", { why }),
    leave: close,
    comeBack: open,
    close,
  };
  await open();
  return stage;
}
