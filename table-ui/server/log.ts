/**
 * The log: one JSON line each, with `level`, `time` (milliseconds since 1970) and `msg`. It names seats, rings and bouts by
 * their ids only. Nothing that a person wrote, chose or is called gets in, and no seat's secret.
 */
import { pino, type DestinationStream, type Logger } from "pino";

/** From all there is to nothing at all. */
export const LOG_LEVELS = ["trace", "debug", "info", "warn", "error", "fatal", "silent"] as const;
export type LogLevel = (typeof LOG_LEVELS)[number];

export interface LogOptions {
  /** Default "warn". */
  readonly level?: LogLevel;
  readonly stream?: DestinationStream;
}

/**
 * An address as it may be logged: the route that answered it, with stars where its parts stand. Addresses themselves are
 * never logged, for a seat's secret may stand anywhere in a mistyped one.
 */
export const shownRoute = (pattern: string | undefined): string =>
  pattern === undefined ? "none of ours" : pattern.replace(/:[^/]+/g, "***");

const HIDDEN = ["secret", "auth", "path", "*.secret", "*.auth", "req.headers", "*.headers"];

const FRAME = /^\s+at (?:.+ \()?(?:file:|node:|\/|[A-Za-z]:\\|<anonymous>|native)[^\n]*\)?$/;

/** Where it happened, without the message that a stack begins with. */
function framesOf({ stack = "", message }: Error): readonly string[] {
  const from = message === "" ? 0 : stack.indexOf(message) + message.length;
  return stack
    .slice(from)
    .split("\n")
    .filter((line) => FRAME.test(line))
    .map((line) => line.trim());
}

const codeOf = (error: Error): string | undefined =>
  "code" in error && (typeof error.code === "string" || typeof error.code === "number")
    ? String(error.code).slice(0, 40)
    : undefined;

/** How many causes behind an error are followed. */
const DEEPEST = 4;

/**
 * An error as it may be logged: its kind, its code and where it happened. Its message is left out, because messages quote
 * what they stumbled over: an address, a name, a line of a rule set.
 */
export function quiet(error: unknown, depth = 0): unknown {
  if (!(error instanceof Error)) return { type: typeof error };
  const { cause } = error;
  const code = codeOf(error);
  return {
    type: error.constructor.name,
    ...(code === undefined ? {} : { code }),
    frames: framesOf(error),
    ...(cause === undefined || depth >= DEEPEST ? {} : { cause: quiet(cause, depth + 1) }),
  };
}

export function openLog({ level = "warn", stream }: LogOptions = {}): Logger {
  const options = {
    level,
    base: null,
    formatters: { level: (label: string) => ({ level: label }) },
    redact: { paths: HIDDEN, censor: "***" },
    serializers: {
      err: (error: unknown) => quiet(error),
      error: (error: unknown) => quiet(error),
      req: (req: { method?: string; routeOptions?: { url?: string } }) => ({
        method: req.method,
        route: shownRoute(req.routeOptions?.url),
      }),
      res: (res: { statusCode?: number }) => ({ status: res.statusCode }),
    },
    hooks: {
      // A line that is only an error would take the error's message for its own; a line without words gets some.
      logMethod(this: Logger, args: Parameters<pino.LogFn>, write: pino.LogFn) {
        const [what, words] = args as readonly unknown[];
        if (typeof what === "object" && what !== null && typeof words !== "string") {
          const fields = what instanceof Error ? { err: what } : what;
          return Reflect.apply(write, this, [fields, "something to note"]);
        }
        return Reflect.apply(write, this, args);
      },
    },
  };
  return stream === undefined ? pino(options, pino.destination(2)) : pino(options, stream);
}

/** How often refusals are told, milliseconds. */
const REFUSALS_EVERY_MS = 60_000;

export interface Refusals {
  /** A command was refused with this code. */
  count(code: string): void;
  /** Tells what has been counted since the last time. */
  tell(): void;
  close(): void;
}

/** Refused commands are part of every evening: they are told by the minute and by code, each only at level debug. */
export function openRefusals(log: Logger): Refusals {
  const counts = new Map<string, number>();
  function tell(): void {
    if (counts.size === 0) return;
    log.info({ refused: Object.fromEntries(counts) }, "commands were refused");
    counts.clear();
  }
  const timer = setInterval(tell, REFUSALS_EVERY_MS);
  timer.unref();
  return {
    count: (code) => void counts.set(code, (counts.get(code) ?? 0) + 1),
    tell,
    close() {
      clearInterval(timer);
      tell();
    },
  };
}
