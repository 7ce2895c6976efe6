/** The log: one JSON line each, without any seat's secret. */
import { pino, type DestinationStream, type Logger } from "pino";

export interface LogOptions {
  /** pino's levels; default "warn". */
  readonly level?: string;
  readonly stream?: DestinationStream;
}

/** A path as it may be logged: whoever reads the log must not get a seat. */
export const withoutSecret = (url: string): string => url.replace(/(\/seat\/)[^/?#]*/, "$1***");

const HIDDEN = ["secret", "auth", "path", "*.secret", "*.auth", "req.headers", "*.headers"];

/** An error as it may be logged: messages of a web server like to quote the address. */
function quiet(error: unknown): unknown {
  if (!(error instanceof Error)) return error;
  const { name, message, stack } = error;
  return { type: name, message: withoutSecret(message), stack: stack && withoutSecret(stack) };
}

export function openLog({ level = "warn", stream }: LogOptions = {}): Logger {
  const options = {
    level,
    base: null,
    redact: { paths: HIDDEN, censor: "***" },
    serializers: {
      err: quiet,
      req: (req: { method?: string; url?: string }) => ({
        method: req.method,
        url: withoutSecret(req.url ?? ""),
      }),
      res: (res: { statusCode?: number }) => ({ status: res.statusCode }),
    },
  };
  return stream === undefined ? pino(options, pino.destination(2)) : pino(options, stream);
}
