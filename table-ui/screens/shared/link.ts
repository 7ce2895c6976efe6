/**
 * The socket of a seat. It connects with the secret from the page's path, keeps the view by merge patches, asks for a
 * whole view after a gap, and knows the server's time.
 */
import { io } from "socket.io-client";
import type { BoutCommand, MeetCommand, Refusal } from "../../../engine/index.ts";
import type { Answered, CoachAnswer, CoachRequest, Patch, Report, Sent, Shown } from "../../wire/messages.ts";
import { applyPatch } from "../../wire/patch.ts";
import type { View } from "../../wire/views.ts";

/** linked: live. away: the server is out of reach, it is tried again and again. gone: this link opens no seat any more. */
export const LINK_STATES = ["linking", "linked", "away", "gone"] as const;
export type LinkState = (typeof LINK_STATES)[number];

export interface Heard<V extends View> {
  /** A new view; `before` is missing the first time. */
  view(view: V, before?: V): void;
  /** `since` is server time. */
  state(state: LinkState, since: number): void;
}

export interface Link {
  /** Sends a command; while the server is away it waits and goes out when it is back. Safe to repeat by its id. */
  send(sent: Sent): Promise<Answered>;
  /** Makes the command's id and sends it. */
  command(on: Sent["on"], command: BoutCommand | MeetCommand): Promise<Answered>;
  ask(request: CoachRequest): Promise<CoachAnswer>;
  /** Server time as this device knows it, milliseconds. */
  now(): number;
  /** [W37] Tells the server something of this device; lost while the server is away. */
  tell(report: Report): void;
  readonly state: LinkState;
  close(): void;
}

/** The secret in /seat/<secret>; empty if the path is another. */
export const secretIn = (path: string): string => /^\/seat\/([\w-]+)/.exec(path)?.[1] ?? "";

const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/** 21 letters of 6 random bits each: an idempotency key that needs no secure context. */
export const newId = (): string =>
  Array.from(crypto.getRandomValues(new Uint8Array(21)), (byte) => LETTERS[byte & 63]).join("");

interface Refused {
  readonly refusal: Refusal;
}

const isTooMany = (answer: Answered | CoachAnswer): boolean =>
  !answer.ok && answer.refusal.refused === "too-many";

/** [W20] "Too many" is about the moment and not about the command: it is sent again after this long, milliseconds. */
const AGAIN_MS = 500;

/** [W33] A server that just now lets nobody in is asked again after this long, milliseconds. */
const KNOCK_AGAIN_MS = 5_000;

/** Several round trips; the shortest tells the offset best. */
const TIME_SAMPLES = 4;

/** [W37] A screen tells when it painted what it was sent, now and then: this often at most, milliseconds. */
const PAINTED_EVERY_MS = 5_000;

/**
 * How often the time is asked for anew, and how much less sure the best answer has become by then: two machines' clocks
 * drift apart by some 50 millionths (common practice, no source).
 */
const TIME_EVERY_MS = 15_000;
const DRIFT_MS = 1;

export function openLink<V extends View>(heard: Heard<V>, secret = secretIn(location.pathname)): Link {
  let view: V | undefined;
  let version = -1;
  let offset = 0;
  let shortest = Infinity;
  let state: LinkState = "linking";
  let quietUntil = 0;
  const socket = io({ transports: ["websocket"], auth: { secret }, reconnectionDelayMax: 3000 });
  /** Unanswered commands: sent again after every reconnect, for an answer may have been lost on the way. */
  const waiting = new Map<string, { readonly sent: Sent; readonly done: (answer: Answered) => void }>();
  // performance.now never jumps when somebody sets the device's clock.
  const now = (): number => Math.round(performance.now() + offset);

  const turn = (to: LinkState): void => {
    if (state === "gone" || state === to) return;
    state = to;
    heard.state(to, now());
  };

  const show = (v: number, next: V): void => {
    const before = view;
    if (before === undefined) offset = next.at - performance.now();
    version = v;
    view = next;
    turn("linked");
    heard.view(next, before);
  };

  const askView = (): void => {
    socket.volatile.emit("view", {}, (shown: Shown | Refused) => {
      if ("refusal" in shown) setTimeout(askView, AGAIN_MS);
      else show(shown.v, shown.view as V);
    });
  };

  const askTime = (left: number, report?: Report): void => {
    if (!socket.connected) return;
    const sent = performance.now();
    // Not volatile: on a busy line that would be dropped, and the first view may have been long on its way.
    socket.emit("time", { t: sent, ...report }, (answer: { t: number; server: number } | Refused) => {
      const trip = performance.now() - sent;
      if (!("refusal" in answer) && trip <= shortest) {
        shortest = trip;
        offset = answer.server + trip / 2 - performance.now();
      }
      if (left > 1) setTimeout(() => askTime(left - 1), 200);
    });
  };
  const keepTime = setInterval(() => {
    shortest += DRIFT_MS;
    askTime(1);
  }, TIME_EVERY_MS);

  /** A task behind the next frame: by then it is on the glass. A page that nobody sees has no frames and tells nothing. */
  const tellPainted = (v: number): void => {
    if (performance.now() < quietUntil) return;
    quietUntil = performance.now() + PAINTED_EVERY_MS;
    requestAnimationFrame(() => setTimeout(() => askTime(1, { shown: { v, at: now() } })));
  };

  const put = (sent: Sent, done: (answer: Answered) => void): void => {
    socket.emit("command", sent, (answer: Answered) => {
      if (isTooMany(answer)) return void setTimeout(() => putAgain(sent.id), AGAIN_MS);
      waiting.delete(sent.id);
      done(answer);
    });
  };

  /** A line that was lost meanwhile sends it by itself once it is back. */
  const putAgain = (id: string): void => {
    const one = waiting.get(id);
    if (one !== undefined && socket.connected) put(one.sent, one.done);
  };

  const ask = (request: CoachRequest, done: (answer: CoachAnswer) => void): void => {
    socket.emit("coach", request, (answer: CoachAnswer) => {
      if (isTooMany(answer)) setTimeout(() => ask(request, done), AGAIN_MS);
      else done(answer);
    });
  };

  socket.on("connect", () => {
    shortest = Infinity;
    askTime(TIME_SAMPLES);
    for (const { sent, done } of waiting.values()) put(sent, done);
  });
  socket.on("view", (shown: Shown) => show(shown.v, shown.view as V));
  socket.on("patch", ({ from, v, patch }: Patch) => {
    if (view !== undefined && from === version) {
      show(v, applyPatch(view, patch) as V);
      tellPainted(v);
    } else if (v > version) askView();
  });
  socket.on("gone", ({ why }: { why: "revoked" | "closing" }) => turn(why === "revoked" ? "gone" : "away"));
  socket.on("connect_error", (error: Error & { data?: { refused?: string } }) => {
    // The server answered and knows no such seat; anything else may pass.
    if (error.data?.refused === "no-such-seat") {
      turn("gone");
      socket.close();
    } else {
      turn("away");
      // Who was turned away at the door must knock again by itself; a lost line is tried anew by the library.
      if (!socket.active) setTimeout(() => socket.connect(), KNOCK_AGAIN_MS);
    }
  });
  socket.on("disconnect", (reason) => {
    turn("away");
    // A server that closes ends the socket itself, and then only a call brings it back.
    if (reason === "io server disconnect" && state !== "gone") setTimeout(() => socket.connect(), 1000);
  });

  const send = (sent: Sent): Promise<Answered> =>
    new Promise((done) => {
      waiting.set(sent.id, { sent, done });
      if (socket.connected) put(sent, done);
    });
  return {
    send,
    command: (on, command) => send({ id: newId(), on, at: now(), command }),
    ask: (request) => new Promise((done) => ask(request, done)),
    now,
    tell: (report) => askTime(1, report),
    get state() {
      return state;
    },
    close() {
      clearInterval(keepTime);
      socket.close();
    },
  };
}
