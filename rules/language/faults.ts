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
  /** A replacement that a form can offer as one press. */
  readonly cure?: { readonly from: number; readonly to: number; readonly text: string };
}

export type Outcome<T> =
  | { readonly ok: true; readonly value: T; readonly warnings: readonly Fault[] }
  | { readonly ok: false; readonly faults: readonly Fault[] };
