/**
 * The keyboard of the table: physical keys, because a row is a row on every layout. Every action is one unmodified key;
 * all of them can be switched off or moved (WCAG 2.2, 2.1.4).
 */
import type { Side } from "../../../engine/index.ts";

export type TableAction =
  | { readonly is: "hit"; readonly side: Side; readonly index: number }
  | { readonly is: "neither"; readonly index: number }
  | { readonly is: "chip"; readonly index: number }
  | { readonly is: "clock" | "record" | "undo" | "penalty" | "stop" | "yes" | "no" | "later" | "pause" };

export type Layout = Readonly<Record<string, TableAction>>;

const row = (
  codes: readonly string[],
  action: (index: number) => TableAction,
): readonly (readonly [string, TableAction])[] => codes.map((code, index) => [code, action(index)] as const);

export const LAYOUT: Layout = Object.fromEntries([
  ...row(["KeyQ", "KeyW", "KeyE", "KeyR", "KeyT"], (index) => ({ is: "hit", side: "red", index })),
  ...row(["KeyA", "KeyS", "KeyD", "KeyF"], (index) => ({ is: "neither", index })),
  ...row(["KeyZ", "KeyX", "KeyC", "KeyV", "KeyB"], (index) => ({ is: "hit", side: "blue", index })),
  ...row(
    ["Digit1", "Digit2", "Digit3", "Digit4", "Digit5", "Digit6", "Digit7", "Digit8", "Digit9"],
    (index) => ({ is: "chip", index }),
  ),
  ["Space", { is: "clock" }],
  ["Enter", { is: "record" }],
  ["Backspace", { is: "undo" }],
  ["KeyP", { is: "penalty" }],
  // Stop has two keys: Esc is small, far away, and missing on many tablets' keyboards.
  ["Escape", { is: "stop" }],
  ["KeyH", { is: "stop" }],
  ["KeyJ", { is: "yes" }],
  ["KeyN", { is: "no" }],
  ["KeyL", { is: "later" }],
  ["KeyI", { is: "pause" }],
]);

const same = (a: TableAction, b: TableAction): boolean => JSON.stringify(a) === JSON.stringify(b);

/** The first key of an action, undefined if it has none. */
export const codeOf = (layout: Layout, action: TableAction): string | undefined =>
  Object.entries(layout).find(([, each]) => same(each, action))?.[0];

/** A key that only changes others could never act by itself. */
const isModifier = (code: string): boolean =>
  /^(Shift|Control|Alt|Meta|OS)(Left|Right)$|Lock$|^Fn$/.test(code);

/**
 * Puts an action on a key in place of its first old one; what was on that key takes the old one, so that no action is
 * ever without a key. Nothing changes where the key has this action already, is a modifier, or has no name; nor where an
 * action that had no key would take another's only one.
 */
export function remap(layout: Layout, action: TableAction, code: string): Layout {
  const there = layout[code];
  const old = codeOf(layout, action);
  if (code === "" || isModifier(code) || (there !== undefined && same(there, action))) return layout;
  const keysLeft = Object.entries(layout).filter(([key, each]) => key !== code && there && same(each, there));
  if (there !== undefined && old === undefined && keysLeft.length === 0) return layout;
  const moved = Object.entries(layout).flatMap(([key, each]): readonly (readonly [string, TableAction])[] => {
    if (key === code) return [[key, action]];
    if (key !== old) return [[key, each]];
    return there === undefined ? [] : [[key, there]];
  });
  return Object.fromEntries(there === undefined ? [...moved, [code, action]] : moved);
}

const NAMES: Readonly<Record<string, string>> = {
  Backspace: "⌫",
  Escape: "Esc",
  Space: "Space",
  Enter: "Enter",
};

/** What is printed on the key cap; `learnt` holds what this keyboard's keys have typed so far. */
export function capOf(code: string | undefined, learnt: Readonly<Record<string, string>>): string {
  if (code === undefined) return "";
  return NAMES[code] ?? learnt[code] ?? code.replace(/^(Key|Digit)/, "");
}

/** A key press on the page, reduced to what decides. */
export interface Press {
  readonly code: string;
  readonly modified: boolean;
  readonly repeat: boolean;
  /** Focus is in a field that takes text. */
  readonly typing: boolean;
  /** Focus is visibly on a control that acts on Space and Enter itself. */
  readonly onControl: boolean;
  /** A dialog is open: it has the keyboard. */
  readonly inDialog: boolean;
}

/** The action of a key press, or undefined where the page leaves it to the browser. */
export function actionOf(layout: Layout, press: Press): TableAction | undefined {
  if (press.modified || press.repeat || press.typing || press.inDialog) return undefined;
  if (press.onControl && (press.code === "Space" || press.code === "Enter")) return undefined;
  return layout[press.code];
}
