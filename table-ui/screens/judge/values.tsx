/** Values that a judge says, and another judge's values that await this one's assent: only where the rule set needs them. */
import { For, Show, type JSX } from "solid-js";
import { SIDES, type Side } from "../../../rules/index.ts";
import type { JudgeView } from "../../wire/views.ts";
import { capital } from "../paint/clock.ts";
import { badge } from "../paint/parts.ts";
import { numeral } from "../paint/shapes.ts";
import { SIDE_NAMES } from "../paint/telling.ts";

type Values = NonNullable<JudgeView["values"]>;

interface Props {
  readonly values: Values;
  readonly onCall: (call: string, side: Side, value?: number) => void;
  readonly onAssent: (call: string, side: Side) => void;
}

/** Another judge's value first: it waits for somebody, and only until the next "Fence!". */
function Awaits(props: Props): JSX.Element {
  return (
    <For each={props.values.awaits.filter(({ may }) => may)}>
      {(waits) => (
        <div class="open-box assent">
          <p>
            <span innerHTML={badge(waits.side, 26, false).markup} />
            <span>
              {waits.by} gives {SIDE_NAMES[waits.side]}{" "}
              {waits.value === undefined ? "" : `${numeral(waits.value)} for `}
              {waits.call}.
            </span>
          </p>
          <button type="button" class="key" onClick={() => props.onAssent(waits.call, waits.side)}>
            <span>I assent</span>
          </button>
        </div>
      )}
    </For>
  );
}

function Row(props: Props & { readonly call: Values["calls"][number]; readonly side: Side }): JSX.Element {
  return (
    <div
      class="value-row"
      role="group"
      aria-label={`${capital(props.call.call)} for ${SIDE_NAMES[props.side]}`}
    >
      <span innerHTML={badge(props.side, 30).markup} />
      <Show when={props.call.values.length === 0}>
        <button
          type="button"
          class={`key ${props.side === "red" ? "r" : "b"}`}
          aria-pressed={props.values.awaits.some(
            ({ call, side, may }) => call === props.call.call && side === props.side && !may,
          )}
          onClick={() => props.onCall(props.call.call, props.side)}
        >
          <span>{capital(props.call.call)}</span>
        </button>
      </Show>
      <For each={props.call.values}>
        {(value) => (
          <button
            type="button"
            class={`key ${props.side === "red" ? "r" : "b"}`}
            aria-pressed={props.call.called?.[props.side] === value}
            onClick={() => props.onCall(props.call.call, props.side, value)}
          >
            <span>{numeral(value)}</span>
          </button>
        )}
      </For>
    </div>
  );
}

export function ValuesToCall(props: Props): JSX.Element {
  const own = (call: string): boolean =>
    props.values.awaits.some((waits) => waits.call === call && !waits.may);
  return (
    <section class="values" aria-label={`Your values, exchange ${props.values.no}`}>
      <Awaits {...props} />
      <For each={props.values.calls}>
        {(call) => (
          <div>
            <h2>{capital(call.call)}</h2>
            <For each={SIDES}>{(side) => <Row {...props} call={call} side={side} />}</For>
            <Show when={call.assent}>
              <p class="foot">
                {own(call.call)
                  ? "Yours waits for a second judge, until the next “Fence!”."
                  : "It counts when a second judge assents, before the next “Fence!”."}
              </p>
            </Show>
          </div>
        )}
      </For>
    </section>
  );
}
