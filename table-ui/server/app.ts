/** The pages over http: a seat's finished page, the built assets, the coach's export, health. */
import { existsSync } from "node:fs";
import rateLimit from "@fastify/rate-limit";
import serveStatic from "@fastify/static";
import Fastify, {
  LogController,
  type FastifyInstance,
  type FastifyReply,
  type FastifyRequest,
} from "fastify";
import type { Logger } from "pino";
import type { StoredSeat } from "../../engine/ledger/open.ts";
import type { FencerView, WallView } from "../wire/views.ts";
import { viewFor } from "../wire/view.ts";
import { packed } from "./compress.ts";
import { HEADERS, isOurHost, isOurOrigin, pagePolicy, type DoorOptions } from "./door.ts";
import { exportEvening } from "./export.ts";
import { seatTitle, type House } from "./house.ts";
import { withoutSecret } from "./log.ts";
import type { Pages } from "./pages.ts";
import { sittingIn } from "./seats.ts";

export interface AppOptions {
  readonly house: House;
  readonly pages: Pages;
  /** The folder whose files are served under /assets/. */
  readonly assetsDir?: string;
  readonly door: DoorOptions;
  readonly log: Logger;
  readonly tls?: { readonly cert: string; readonly key: string };
  /** Pages a minute that one address may ask for. */
  readonly pagesAMinute?: number;
}

async function sendPage(request: FastifyRequest, reply: FastifyReply, page: string): Promise<FastifyReply> {
  const { body, encoding } = await packed(page, request.headers["accept-encoding"]);
  if (encoding !== undefined) void reply.header("content-encoding", encoding);
  return reply
    .type("text/html; charset=utf-8")
    .header("cache-control", "no-store")
    .header("vary", "accept-encoding")
    .header("content-security-policy", pagePolicy(request.headers.host ?? ""))
    .send(body);
}

/** The seat's page as it stands now. */
function pageOf(house: House, pages: Pages, seat: StoredSeat): string {
  const sitting = sittingIn(seat);
  if (sitting === undefined) return pages.lost("unknown");
  switch (sitting.kind) {
    case "fencer":
      return pages.fencer(viewFor(house.hall(), sitting) as FencerView);
    case "wall":
      return pages.wall(viewFor(house.hall(), sitting) as WallView);
    default:
      return pages.app(sitting.kind, `${seatTitle(seat, house)}, ${house.streams.meet.name}`);
  }
}

/** [W1] Nothing is answered to a Host or an Origin that is not ours. */
function guard(app: FastifyInstance, { door, log }: AppOptions): void {
  app.addHook("onRequest", async (request, reply) => {
    void reply.headers(HEADERS);
    const { host, origin } = request.headers;
    if (isOurHost(host, door) && isOurOrigin(origin, host)) return;
    await reply.code(421).type("text/plain; charset=utf-8").send("This server does not go by that name.\n");
  });
  app.addHook("onResponse", async (request, reply) => {
    const url = withoutSecret(request.url);
    log.info({ method: request.method, url, status: reply.statusCode, ms: Math.round(reply.elapsedTime) });
  });
}

function seatRoutes(app: FastifyInstance, { house, pages, pagesAMinute = 600 }: AppOptions): void {
  const config = { rateLimit: { max: pagesAMinute, timeWindow: 60_000 } };
  app.get<{ Params: { secret: string } }>("/seat/:secret", { config }, async (request, reply) => {
    const { secret } = request.params;
    const seat = house.seats.find(secret);
    if (seat !== undefined) return sendPage(request, reply, pageOf(house, pages, seat));
    void reply.code(404);
    return sendPage(request, reply, pages.lost(house.seats.wasRevoked(secret) ? "revoked" : "unknown"));
  });
  app.get<{ Params: { secret: string } }>(
    "/seat/:secret/evening.json",
    { config },
    async (request, reply) => {
      const seat = house.seats.find(request.params.secret);
      if (seat?.kind !== "coach") {
        void reply.code(404);
        return sendPage(request, reply, pages.lost("unknown"));
      }
      return reply
        .type("application/json; charset=utf-8")
        .header("cache-control", "no-store")
        .header("content-disposition", 'attachment; filename="evening.json"')
        .send(await exportEvening(house));
    },
  );
}

function plainRoutes(app: FastifyInstance, { house, pages }: AppOptions): void {
  const startedAt = house.now();
  app.get("/health", async (_, reply) => {
    void reply.header("cache-control", "no-store");
    return {
      ok: true,
      ledger: house.ledger.driver,
      bouts: house.streams.meet.called.length,
      screens: house.presence.total(),
      unreadRuleSets: house.shelf.unread.length,
      upMs: house.now() - startedAt,
    };
  });
  app.get("/style", async (request, reply) => sendPage(request, reply, pages.style()));
  app.get("/favicon.ico", async (_, reply) => reply.code(204).send());
  app.setNotFoundHandler(async (request, reply) => {
    void reply.code(404);
    return sendPage(request, reply, pages.lost("unknown"));
  });
  app.setErrorHandler(async (error: { statusCode?: number }, request, reply) => {
    const status = error.statusCode ?? 500;
    if (status >= 500) request.log.error({ err: error }, "a page could not be sent");
    const sentence = status === 429 ? "Too many pages at once; wait a moment." : "This could not be done.";
    return reply.code(status).type("text/plain; charset=utf-8").send(`${sentence}\n`);
  });
}

/** The http side of the house, not yet listening. */
export async function openApp(options: AppOptions): Promise<FastifyInstance> {
  const { tls, log, assetsDir } = options;
  const app = Fastify({
    loggerInstance: log,
    // Its own lines would quote addresses whole; ours are written in onResponse.
    logController: new LogController({ disableRequestLogging: true }),
    forceCloseConnections: true,
    ...(tls === undefined ? {} : { https: tls }),
  }) as unknown as FastifyInstance;
  guard(app, options);
  await app.register(rateLimit, { global: false });
  if (assetsDir !== undefined && existsSync(assetsDir)) {
    await app.register(serveStatic, {
      root: assetsDir,
      prefix: "/assets/",
      index: false,
      immutable: true,
      maxAge: "365d",
      preCompressed: true,
      decorateReply: false,
    });
  }
  seatRoutes(app, options);
  plainRoutes(app, options);
  return app;
}
