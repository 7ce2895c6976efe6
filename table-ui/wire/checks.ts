/**
 * The door: every message from a device is unknown JSON until it has passed here. What does not pass is refused as a
 * value ("bad-message") and changes nothing.
 */
import { z } from "zod";
import { refusal, type Refusal } from "../../engine/index.ts";
import { boutCommand, meetCommand } from "./checks-commands.ts";
import { id, shortTitle, title } from "./checks-record.ts";
import type { CoachRequest, Sent, TimeAsked } from "./messages.ts";

/** A rule set or a sheet as text, at most this many characters. */
export const LONGEST_TEXT = 64_000;
/** A message on the socket, at most this many bytes; the server closes a socket that sends more. */
export const LARGEST_MESSAGE = 256_000;

const millis = z.int().min(0).max(Number.MAX_SAFE_INTEGER);
const pen = z.strictObject({ epoch: z.int().min(0), seq: z.int().min(0) });
const key = z.string().regex(/^[A-Za-z0-9_-]{8,64}$/, "must be 8 to 64 letters, digits, _ or -");
const common = { id: key, pen: pen.exactOptional(), at: millis.exactOptional() };

const sent: z.ZodType<Sent> = z.union([
  z.strictObject({ ...common, on: z.literal("meet"), command: meetCommand }),
  z.strictObject({ ...common, on: z.strictObject({ bout: id }), command: boutCommand }),
]);

const text = z.string().max(LONGEST_TEXT);

const coachRequest: z.ZodType<CoachRequest> = z.discriminatedUnion("ask", [
  z.strictObject({ ask: z.literal("read rule set"), text }),
  z.strictObject({ ask: z.literal("save rule set"), text }),
  z.strictObject({
    ask: z.literal("add fencer"),
    name: title,
    shortName: shortTitle,
    consents: z.array(title).max(16),
  }),
  z.strictObject({ ask: z.literal("erase fencer"), person: id }),
  z.strictObject({
    ask: z.literal("issue seat"),
    kind: z.enum(["table", "judge", "fencer", "wall"]),
    ring: id.exactOptional(),
    judge: z.int().min(1).max(9).exactOptional(),
    referee: z.boolean().exactOptional(),
    person: id.exactOptional(),
  }),
  z.strictObject({ ask: z.literal("reissue seat"), seat: id }),
  z.strictObject({ ask: z.literal("revoke seat"), seat: id }),
  z.strictObject({ ask: z.literal("call bout"), bout: id }),
  z.strictObject({ ask: z.literal("try"), text, sheet: text }),
]);

/** Far more than a tablet ever keeps, and longer than any evening. */
const MOST_WAITING = 100_000;
const LONGEST_WAIT_MS = 7 * 24 * 3_600_000;

const timeAsked: z.ZodType<TimeAsked> = z.strictObject({
  t: z.number(),
  waiting: z.int().min(0).max(MOST_WAITING).exactOptional(),
  oldest: z.int().min(0).max(LONGEST_WAIT_MS).exactOptional(),
  shown: z.strictObject({ v: millis, at: millis }).exactOptional(),
});
const viewAsked = z.strictObject({});
const handshake = z.looseObject({ secret: z.string().regex(/^[A-Za-z0-9_-]{22}$/) });

type Passed<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly refusal: Refusal };

/** `command.record.acts[0].by`, from a path of keys. */
function written(path: readonly PropertyKey[]): string {
  return path
    .map((part, i) => (typeof part === "number" ? `[${part}]` : `${i > 0 ? "." : ""}${String(part)}`))
    .join("");
}

/** The issue that says most: of a union's branches the one that got furthest. */
function deepest(issue: z.core.$ZodIssue, base: readonly PropertyKey[] = []): [PropertyKey[], string] {
  const here = [...base, ...issue.path];
  if (issue.code !== "invalid_union" || issue.errors.length === 0) return [here, issue.message];
  const found = issue.errors.flatMap((branch) => branch.slice(0, 1).map((inner) => deepest(inner, here)));
  return found.reduce((best, next) => (next[0].length > best[0].length ? next : best), [
    here,
    issue.message,
  ] as [PropertyKey[], string]);
}

function pass<T>(schema: z.ZodType<T>, message: unknown): Passed<T> {
  const result = schema.safeParse(message);
  if (result.success) return { ok: true, value: result.data };
  const first = result.error.issues[0];
  const [path, why] = first === undefined ? [[], "Invalid input"] : deepest(first);
  const where = path.length === 0 ? "The message" : `"${written(path).slice(0, 120)}"`;
  const sentence = `${where} is not as it must be: ${why.slice(0, 200)}. Nothing was changed.`;
  return { ok: false, refusal: refusal("bad-message", sentence) };
}

/** A "command" message, or a refusal that says where it is wrong. */
export const checkSent = (message: unknown): Passed<Sent> => pass(sent, message);
/** A "coach" message. */
export const checkCoachRequest = (message: unknown): Passed<CoachRequest> => pass(coachRequest, message);
/** A "time" message. */
export const checkTimeAsked = (message: unknown): Passed<TimeAsked> => pass(timeAsked, message);
/** A "view" message. */
export const checkViewAsked = (message: unknown): Passed<Record<string, never>> =>
  pass(viewAsked, message ?? {});

/** The seat's secret from a socket's handshake; undefined if there is none in the right form. */
export function secretOf(auth: unknown): string | undefined {
  const result = handshake.safeParse(auth);
  return result.success ? result.data.secret : undefined;
}

/** The command id that an answer must carry, even where the rest of the message could not be read. */
export function idOf(message: unknown): string {
  const found = z.looseObject({ id: key }).safeParse(message);
  return found.success ? found.data.id : "";
}
