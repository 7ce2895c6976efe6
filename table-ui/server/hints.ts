/**
 * What processes tell each other when several serve one ledger. A hint says that something may be read, never what it is:
 * one that is lost, doubled or late costs time only, for everybody also looks into the ledger by and by.
 */
export type Hint =
  /** A stream has grown to this version. */
  | { readonly kind: "grew"; readonly stream: string; readonly version: number }
  /** A rule set, a person or a seat was written. */
  | { readonly kind: "beside" }
  /** Who is connected to a process: how many devices in each seat. Said at every change, and as a sign of life. */
  | { readonly kind: "here"; readonly process: string; readonly seats: Readonly<Record<string, number>> };

export interface Hints {
  /** Tells the other processes; never fails and never waits. */
  tell(hint: Hint): void;
  /** Whether what is told just now arrives, as far as this process knows. */
  readonly open: boolean;
  close(): Promise<void>;
}

/** Opens the way to the other processes; `heard` gets what they tell. */
export type OpenHints = (heard: (hint: Hint) => void) => Promise<Hints>;

/** For a process that is alone. */
export const noHints: OpenHints = () =>
  Promise.resolve({ tell: () => undefined, open: true, close: () => Promise.resolve() });

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

const isCount = (value: unknown): value is number =>
  typeof value === "number" && Number.isSafeInteger(value) && value >= 0;

/** A hint as it came over the line; undefined for what is none. Whoever else may write there must not stop a server. */
export function asHint(told: unknown): Hint | undefined {
  if (!isObject(told)) return undefined;
  const { kind, stream, version, process, seats } = told;
  if (kind === "beside") return { kind };
  if (kind === "grew" && typeof stream === "string" && isCount(version)) return { kind, stream, version };
  if (kind !== "here" || typeof process !== "string" || !isObject(seats)) return undefined;
  const counts = Object.entries(seats).filter((entry): entry is [string, number] => isCount(entry[1]));
  return { kind, process, seats: Object.fromEntries(counts) };
}
