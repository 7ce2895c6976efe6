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
import { headersFor, isOurRequest, pagePolicy, type DoorOptions } from "./door.ts";
import type { Enter } from "./entrance.ts";
import { exportEvening } from "./export.ts";
import { seatTitle, type House } from "./house.ts";
import { keepingRoutes } from "./keeping.ts";
import type { Limits } from "./limits.ts";
import { shownRoute } from "./log.ts";
import { mayReadMetrics } from "./metrics.ts";
import type { Observer } from "./observer.ts";
import type { Pages } from "./pages.ts";
import { sittingIn } from "./seats.ts";

export interface AppOptions {
  readonly house: House;
  readonly pages: Pages;
  /** The folder whose files are served under /assets/. */
  readonly assetsDir?: string;
  readonly door: DoorOptions;
  /** Whom a secret lets in. */
  readonly enter: Enter;
  readonly log: Logger;
  readonly observer: Observer;
  /** The metrics as text, read now. */
  readonly metrics: () => Promise<string>;
  /** Whoever shows it may read them from another machine. */
  readonly metricsToken?: string | undefined;
  readonly limits: Limits;
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

const PLAIN = "text/plain; charset=utf-8";
const NOT_OUR_NAME = [421, "This server does not go by that name.\n"] as const;
const UNREADABLE = [400, "This address cannot be read; copy your link again.\n"] as const;

const bringsBody = ({ headers }: FastifyRequest): boolean =>
  headers["transfer-encoding"] !== undefined || !/^0*$/.test(headers["content-length"] ?? "");

/** [W1] Nothing is answered to a Host or an Origin that is not ours. */
function guard(app: FastifyInstance, { door, observer }: AppOptions): void {
  app.addHook("onRequest", async (request, reply) => {
    void reply.headers(headersFor(request.headers.host, door));
    if (!isOurRequest(request.raw, door)) {
      observer.notLetIn("bad-host");
      const [status, sentence] = NOT_OUR_NAME;
      return reply.code(status).type(PLAIN).send(sentence);
    }
    // [W35] Nothing is read of a body, packed or not: what follows the headers is dropped with the line.
    if (bringsBody(request)) {
      void reply.header("connection", "close");
      return reply
        .code(413)
        .type(PLAIN)
        .send("Nothing is sent to this server that way; open a seat's link.\n");
    }
  });
  app.addHook("onResponse", async (request, reply) => {
    const url = shownRoute(request.routeOptions.url);
    const ms = Math.round(reply.elapsedTime);
    request.log.info({ method: request.method, url, status: reply.statusCode, ms }, "answered");
  });
}

const TOO_MANY_GUESSES = "30";

/** [W33] Whoever has no seat comes no further, on any path below a seat's. */
function entrance(app: FastifyInstance, { pages, observer, enter }: AppOptions): void {
  app.addHook("preHandler", async (request, reply) => {
    const { secret } = request.params as { readonly secret?: string };
    if (secret === undefined) return;
    const entered = await enter(secret, request.ip);
    if (entered.seat !== undefined) return;
    switch (entered.shut) {
      case "away":
        return sendPage(request, reply.code(503).header("retry-after", "2"), pages.lost("away"));
      case "too many":
        observer.notLetIn("bad-seat");
        void reply.code(429).header("retry-after", TOO_MANY_GUESSES);
        return sendPage(request, reply, pages.lost("too many"));
      default:
        observer.notLetIn(entered.shut === "revoked" ? "revoked-seat" : "bad-seat");
        return sendPage(request, reply.code(404), pages.lost(entered.shut));
    }
  });
}

function seatRoutes(app: FastifyInstance, { house, pages, pagesAMinute = 600 }: AppOptions): void {
  const config = { rateLimit: { max: pagesAMinute, timeWindow: 60_000 } };
  app.get<{ Params: { secret: string } }>("/seat/:secret", { config }, async (request, reply) => {
    const seat = house.seats.find(request.params.secret);
    if (seat !== undefined) return sendPage(request, reply, pageOf(house, pages, seat));
    return reply.callNotFound();
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

/** [W38] For this machine itself, or whoever shows the token; for everybody else there is nothing here. */
function metricsRoute(app: FastifyInstance, { metrics, observer, metricsToken }: AppOptions): void {
  app.get("/metrics", async (request, reply) => {
    const { socket, headers } = request.raw;
    if (!mayReadMetrics({ address: socket.remoteAddress, headers }, metricsToken))
      return reply.callNotFound();
    void reply.header("cache-control", "no-store");
    return reply.type(observer.metrics.contentType).send(await metrics());
  });
}

/** No route's hooks have run for it: the door is asked here. */
function sayUnreadable(door: DoorOptions, request: FastifyRequest["raw"], reply: FastifyReply): FastifyReply {
  const [status, sentence] = isOurRequest(request, door) ? UNREADABLE : NOT_OUR_NAME;
  return reply.headers(headersFor(request.headers.host, door)).code(status).type(PLAIN).send(sentence);
}

/** What fastify sets on its server. */
const timesOf = ({ silentMs, keepAliveMs, requestMs, requestsAConnection, bodyBytes }: Limits) => ({
  connectionTimeout: silentMs,
  keepAliveTimeout: keepAliveMs,
  requestTimeout: requestMs,
  maxRequestsPerSocket: requestsAConnection,
  bodyLimit: bodyBytes,
});

/** What Node's server must be told when it is made. */
const serverOptions = ({ headersMs, requestMs, checkEveryMs, headerBytes }: Limits) => ({
  headersTimeout: headersMs,
  requestTimeout: requestMs,
  connectionsCheckingInterval: checkEveryMs,
  maxHeaderSize: headerBytes,
});

/** The http side of the house, not yet listening. */
export async function openApp(options: AppOptions): Promise<FastifyInstance> {
  const { tls, log, assetsDir, limits } = options;
  const app = Fastify({
    loggerInstance: log,
    // Its own lines would quote addresses whole; ours are written in onResponse.
    logController: new LogController({ disableRequestLogging: true }),
    forceCloseConnections: true,
    // The library's own answer to an address that cannot be read would say it again, secret and all.
    frameworkErrors: (_, request, reply) =>
      void sayUnreadable(options.door, request.raw, reply as unknown as FastifyReply),
    ...timesOf(limits),
    ...(tls === undefined
      ? { http: serverOptions(limits) }
      : { https: { ...tls, ...serverOptions(limits), handshakeTimeout: limits.headersMs } }),
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
  entrance(app, options);
  seatRoutes(app, options);
  keepingRoutes(app, {
    house: options.house,
    lost: (request, reply) => sendPage(request, reply.code(404), options.pages.lost("unknown")),
  });
  metricsRoute(app, options);
  plainRoutes(app, options);
  return app;
}
