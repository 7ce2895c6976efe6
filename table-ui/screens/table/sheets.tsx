/** What opens over the page and closes again: penalties, the clock, pauses, choices, keys. Native dialogs. */
import { createEffect, createSignal, For, Show, type JSX } from "solid-js";
import { PENALTIES, type BoutCommand, type Side } from "../../../engine/index.ts";
import { SIDES } from "../../../rules/index.ts";
import { badge } from "../paint/parts.ts";
import { SIDE_NAMES } from "../paint/telling.ts";
import { capOf, LAYOUT, remap, type Layout, type TableAction } from "./keys.ts";

export type SheetName = "penalty" | "more" | "clock" | "choices" | "keys" | "forfeit";
type Give = (command: BoutCommand) => boolean;

export function Sheet(props: {
  readonly open: boolean;
  readonly title: string;
  readonly onClose: () => void;
  readonly children: JSX.Element;
}): JSX.Element {
  let dialog: HTMLDialogElement | undefined;
  createEffect(() => {
    if (props.open && dialog?.open === false) dialog.showModal();
    if (!props.open && dialog?.open === true) dialog.close();
  });
  return (
    <dialog
      ref={(element) => (dialog = element)}
      class="sheet"
      aria-label={props.title}
      onClose={() => props.onClose()}
    >
      <Show when={props.open}>
        <h2>{props.title}</h2>
        {props.children}
        <button type="button" class="key" onClick={() => props.onClose()}>
          <span>Close</span>
        </button>
      </Show>
    </dialog>
  );
}

const PENALTY_WORDS = {
  warning: "Warning",
  "penalty hit": "Penalty hit",
  out: "Out of the bout",
} as const;

export function PenaltySheet(props: { readonly give: Give; readonly done: () => void }): JSX.Element {
  const [why, setWhy] = createSignal("");
  return (
    <>
      <label class="field">
        What for
        <input value={why()} onInput={(event) => setWhy(event.currentTarget.value)} maxlength="120" />
      </label>
      <div class="two">
        <For each={SIDES}>
          {(side) => (
            <div role="group" aria-label={SIDE_NAMES[side]}>
              <For each={PENALTIES}>
                {(penalty) => (
                  <button
                    type="button"
                    class={`key ${side === "red" ? "r" : "b"}`}
                    onClick={() => {
                      props.give({ type: "GivePenalty", side, penalty, why: why() || "no reason written" });
                      props.done();
                    }}
                  >
                    <span innerHTML={badge(side, 28).markup} />
                    <span>{PENALTY_WORDS[penalty]}</span>
                  </button>
                )}
              </For>
            </div>
          )}
        </For>
      </div>
      <p class="muted">
        A penalty hit gives the other fencer one point. The referee decides; the table records.
      </p>
    </>
  );
}

export function ForfeitSheet(props: { readonly give: Give; readonly done: () => void }): JSX.Element {
  return (
    <div class="two">
      <For each={SIDES}>
        {(side: Side) => (
          <button
            type="button"
            class={`key ${side === "red" ? "r" : "b"}`}
            onClick={() => {
              props.give({ type: "Forfeit", side, why: "withdrew" });
              props.done();
            }}
          >
            <span innerHTML={badge(side, 28, false).markup} />
            <span>{SIDE_NAMES[side]} withdraws</span>
          </button>
        )}
      </For>
    </div>
  );
}

export function ClockSheet(props: {
  readonly give: Give;
  readonly ms: number;
  readonly done: () => void;
}): JSX.Element {
  const [minutes, setMinutes] = createSignal(Math.floor(Math.ceil(props.ms / 1000) / 60));
  const [seconds, setSeconds] = createSignal(Math.ceil(props.ms / 1000) % 60);
  const field = (label: string, value: () => number, set: (n: number) => void, max: number): JSX.Element => (
    <label class="field">
      {label}
      <input
        type="number"
        inputmode="numeric"
        min="0"
        max={max}
        value={value()}
        onInput={(event) =>
          set(Math.max(0, Math.min(max, Math.trunc(Number(event.currentTarget.value)) || 0)))
        }
      />
    </label>
  );
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        props.give({ type: "SetClock", leftMs: (minutes() * 60 + seconds()) * 1000 });
        props.done();
      }}
    >
      <div class="two">
        {field("Minutes", minutes, setMinutes, 99)}
        {field("Seconds", seconds, setSeconds, 59)}
      </div>
      <button type="submit" class="key main">
        <span>Set the clock</span>
      </button>
    </form>
  );
}

const MOVABLE: readonly (readonly [string, TableAction])[] = [
  ["Fence and halt", { is: "clock" }],
  ["Record", { is: "record" }],
  ["Undo", { is: "undo" }],
  ["Penalty", { is: "penalty" }],
  ["Yes", { is: "yes" }],
  ["No", { is: "no" }],
  ["Pause", { is: "pause" }],
];

export function KeysSheet(props: {
  readonly on: boolean;
  readonly layout: Layout;
  readonly learnt: Readonly<Record<string, string>>;
  readonly onSwitch: (on: boolean) => void;
  readonly onLayout: (layout: Layout) => void;
}): JSX.Element {
  const keyOf = (action: TableAction): string | undefined =>
    Object.entries(props.layout).find(([, each]) => JSON.stringify(each) === JSON.stringify(action))?.[0];
  return (
    <>
      <label class="check">
        <input
          type="checkbox"
          checked={props.on}
          onChange={(event) => props.onSwitch(event.currentTarget.checked)}
        />
        Use the keyboard
      </label>
      <For each={MOVABLE}>
        {([name, action]) => (
          <label class="field">
            {name}
            <input
              readonly
              value={capOf(keyOf(action), props.learnt)}
              onKeyDown={(event) => {
                if (event.code === "Tab" || event.code === "Escape") return;
                event.preventDefault();
                props.onLayout(remap(props.layout, action, event.code));
              }}
            />
          </label>
        )}
      </For>
      <button type="button" class="key" onClick={() => props.onLayout(LAYOUT)}>
        <span>As it was at first</span>
      </button>
    </>
  );
}
