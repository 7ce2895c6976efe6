/** What could stand next where the caret is: the grammar's own answer, put in by one press. */
import { createMemo, For, Show, type JSX } from "solid-js";
import { completeAt, type Completion } from "../../../rules/index.ts";

/** More than this is no help; a letter more makes it less. */
const MOST = 18;
const RANK: Readonly<Record<Completion["is"], number>> = { name: 0, piece: 1, number: 2, word: 3 };

interface Put {
  readonly text: string;
  readonly caret: number;
}

/** The text with a completion at the caret, and the caret behind it. */
export function put(text: string, caret: number, replaces: number, next: string): Put {
  const before = text.slice(0, caret - replaces);
  const glued = next === "," || next === ";";
  const space = before === "" || /[\s'"]$/.test(before) || glued ? "" : " ";
  const head = (glued ? before.trimEnd() : before) + space + next;
  return { text: head + text.slice(caret), caret: head.length };
}

export function NextWords(props: {
  readonly text: string;
  readonly caret: number;
  readonly onPut: (put: Put) => void;
}): JSX.Element {
  const offered = createMemo(() => completeAt(props.text, props.caret));
  const list = () => (offered()?.next ?? []).toSorted((a, b) => RANK[a.is] - RANK[b.is]);
  const more = () => list().length - MOST;
  return (
    <div class="next-words" role="group" aria-label="What could stand next">
      <Show
        when={list().length > 0}
        fallback={<p class="muted">Put the caret into a sentence: what could stand next is shown here.</p>}
      >
        <span class="muted">Could stand next:</span>
        <For each={list().slice(0, MOST)}>
          {(one) => (
            <button
              type="button"
              class="small-key"
              onClick={() => props.onPut(put(props.text, props.caret, offered()?.replaces ?? 0, one.text))}
            >
              {one.text}
            </button>
          )}
        </For>
        <Show when={more() > 0}>
          <span class="muted">and {more()} more: type a letter</span>
        </Show>
        <Show when={offered()?.whole}>
          <span class="muted">or end here</span>
        </Show>
      </Show>
    </div>
  );
}
