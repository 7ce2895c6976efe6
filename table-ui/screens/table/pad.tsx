/** The key rows: Red, neither, Blue; beside them the theme chips and Record. */
import { For, Show, type JSX } from "solid-js";
import type { Side } from "../../../engine/index.ts";
import type { Chip, HitKey } from "../../../rules/index.ts";
import { badge, knotTag, payTag } from "../paint/parts.ts";
import { numeral } from "../paint/shapes.ts";
import { SIDE_NAMES } from "../paint/telling.ts";
import type { Mark } from "../paint/marks.ts";
import type { Entering } from "./entering.ts";
import type { TableAction } from "./keys.ts";
import { Cap } from "./parts.tsx";

const SILENT = { points: 0, openPoints: 0, leaves: [] };
const touch = { points: 1, openPoints: 0, leaves: [] };
const picture = (id: string): Mark => ({
  id: `key ${id}`,
  knot: id === "double" ? "double" : id === "no exchange" ? "no exchange" : "knot",
  red: id === "afterblow" || id === "simultaneous" ? touch : SILENT,
  blue:
    id === "simultaneous" ? touch : id === "afterblow" ? { points: 0, openPoints: 1, leaves: [] } : SILENT,
});

function HitRow(props: {
  readonly side: Side;
  readonly keys: readonly HitKey[];
  readonly entering: Entering;
  readonly cap: (action: TableAction) => string;
}): JSX.Element {
  return (
    <div class="row" role="group" aria-label={SIDE_NAMES[props.side]}>
      <span class="lab" innerHTML={badge(props.side, 40, false).markup} />
      <For each={props.keys}>
        {(key, index) => (
          <button
            type="button"
            class={`key ${props.side === "red" ? "r" : "b"}`}
            classList={{ on: props.entering.presses().includes(key.id) }}
            aria-pressed={props.entering.presses().includes(key.id)}
            onClick={() => props.entering.press(key.id)}
          >
            <span class="mini" innerHTML={badge(props.side, 26, false).markup} />
            <span class="vh">{SIDE_NAMES[props.side]} </span>
            <span class="lbl">{key.label}</span> <span class="v">{numeral(key.worth)}</span>
            <Cap text={props.cap({ is: "hit", side: props.side, index: index() })} />
          </button>
        )}
      </For>
    </div>
  );
}

function ChipKey(props: {
  readonly chip: Chip;
  readonly cap: string;
  readonly onPress: () => void;
}): JSX.Element {
  const pay = () => props.chip.now ?? props.chip.pay;
  const lit = () => props.chip.state === "lit" || props.chip.pressed;
  return (
    <button
      type="button"
      class={`key chip ${props.chip.state}`}
      classList={{ on: lit() }}
      aria-pressed={lit()}
      onClick={() => props.onPress()}
    >
      <span innerHTML={badge(props.chip.side, 30, false).markup} />
      <span class="vh">{SIDE_NAMES[props.chip.side]}: </span>
      <span class="lbl">{props.chip.label}</span>
      <Show when={pay()}>
        {(paid) => (
          <>
            <span class="vh">
              , {numeral(paid().amount)} {paid().unit}
            </span>
            <span class="lv" innerHTML={payTag(paid(), 40).markup} />
          </>
        )}
      </Show>
      <Cap text={props.cap} />
    </button>
  );
}

export function Pad(props: {
  readonly entering: Entering;
  readonly cap: (action: TableAction) => string;
  readonly onMain: () => void;
  readonly mainLabel: string;
  readonly mainDoes: boolean;
}): JSX.Element {
  const plan = () => props.entering.plan();
  return (
    <section class="pad" aria-label="What happened">
      <Show when={plan()}>
        {(known) => (
          <div class="rows">
            <HitRow side="red" keys={known().hits.red} entering={props.entering} cap={props.cap} />
            <div class="row mid" role="group" aria-label="Neither">
              <span class="lab" />
              <For each={known().neither}>
                {(key, index) => (
                  <button
                    type="button"
                    class="key"
                    classList={{ on: props.entering.presses().includes(key.id) }}
                    aria-pressed={props.entering.presses().includes(key.id)}
                    onClick={() => props.entering.press(key.id)}
                  >
                    <span
                      class="pic"
                      aria-hidden="true"
                      innerHTML={knotTag(picture(key.id), 44, 52, 7).markup}
                    />
                    <span class="lbl">{key.label}</span>
                    <Cap text={props.cap({ is: "neither", index: index() })} />
                  </button>
                )}
              </For>
            </div>
            <HitRow side="blue" keys={known().hits.blue} entering={props.entering} cap={props.cap} />
          </div>
        )}
      </Show>
      <div class="also">
        <div class="chips" role="group" aria-label="Themes">
          <For each={props.entering.chips()}>
            {(chip, index) => (
              <ChipKey
                chip={chip}
                cap={props.cap({ is: "chip", index: index() })}
                onPress={() => props.entering.press(chip.id)}
              />
            )}
          </For>
        </div>
        <button
          type="button"
          class="key main record"
          disabled={!props.mainDoes}
          onClick={() => props.onMain()}
        >
          <span>{props.mainLabel}</span>
          <Cap text={props.cap({ is: "record" })} />
        </button>
      </div>
    </section>
  );
}
