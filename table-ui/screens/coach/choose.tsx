/** A labelled choice among named values. */
import { createUniqueId, For, Show, type JSX } from "solid-js";

export function Choose(props: {
  readonly label: string;
  readonly value: string;
  readonly onChoose: (value: string) => void;
  readonly options: readonly (readonly [key: string, name: string])[];
  /** What stands there while nothing is chosen; left out: something always is. */
  readonly empty?: string;
}): JSX.Element {
  // A label around a select would take its options into the name.
  const id = createUniqueId();
  return (
    <div class="field">
      <label for={id}>{props.label}</label>
      <select id={id} value={props.value} onChange={(event) => props.onChoose(event.currentTarget.value)}>
        <Show when={props.empty !== undefined}>
          <option value="">{props.empty}</option>
        </Show>
        <For each={props.options}>
          {([key, name]) => (
            <option value={key} selected={key === props.value}>
              {name}
            </option>
          )}
        </For>
      </select>
    </div>
  );
}
