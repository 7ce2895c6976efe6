/** A fault or a warning, as a person meets it: where, the line with a caret, and the cure. */
export interface Fault {
  /** Stable, kebab-case: "unknown-word". */
  readonly code: string;
  readonly severity: "fault" | "warning";
  readonly file: string;
  /** 1-based. */
  readonly line: number;
  readonly column: number;
  /** One or two sentences, with the cure: `"haed" is not a word I know here. Did you mean "head"?` */
  readonly message: string;
  /** The line itself. */
  readonly source: string;
  /** A replacement that a form can offer as one press; 0-based columns of `source`, `to` exclusive. */
  readonly cure?: { readonly from: number; readonly to: number; readonly text: string };
}

export type Outcome<T> =
  | { readonly ok: true; readonly value: T; readonly warnings: readonly Fault[] }
  | { readonly ok: false; readonly faults: readonly Fault[] };

/** What is to be said, before it has a place. */
export interface Message {
  readonly code: string;
  readonly text: string;
  /** What to write instead of the words at fault. */
  readonly cure?: string;
}

/** The widest piece of a line that is shown; a longer line is cut around the caret. */
const WIDEST = 120;

function shown(source: string, column: number): { readonly line: string; readonly caret: number } {
  const flat = source.replaceAll("\t", " ");
  const at = column - 1;
  if (flat.length <= WIDEST) return { line: flat, caret: at };
  const from = Math.max(0, Math.min(at - WIDEST / 2, flat.length - WIDEST));
  const to = from + WIDEST;
  const before = from > 0 ? "... " : "";
  return {
    line: `${before}${flat.slice(from, to)}${to < flat.length ? " ..." : ""}`,
    caret: at - from + before.length,
  };
}

/** "file:line:column: message", then the line and a caret; a warning says that it is one. */
function formatFault(fault: Fault): string {
  const { file, line, column, message, source, severity } = fault;
  const head = `${file}:${String(line)}:${String(column)}: ${severity === "warning" ? "warning: " : ""}${message}`;
  const { line: text, caret } = shown(source, column);
  return `${head}\n${text}\n${" ".repeat(caret)}^`;
}

/** All of them, in the order of the file, with an empty line between two; "" for none. */
export const formatFaults = (faults: readonly Fault[]): string => faults.map(formatFault).join("\n\n");
