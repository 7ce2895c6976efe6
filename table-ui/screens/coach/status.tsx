/** How the evening is run: what is wrong first, and nothing to do where all is well. */
import "../shared/status.css";
import { createMemo, Show, type JSX } from "solid-js";
import type { Looked } from "../../wire/status-words.ts";
import type { StatusOnView } from "../../wire/view-status.ts";
import type { CoachView } from "../../wire/views.ts";
import { statusParts, troubleCount } from "../paint/status.ts";
import type { CoachHall } from "./hall.ts";

/** A part of the page as finished markup; it is put in only where it differs, so that a reader's place is kept. */
function Part(props: { readonly markup: string; readonly class?: string }): JSX.Element {
  const markup = createMemo(() => props.markup);
  return <section class={props.class} innerHTML={markup()} />;
}

function Looking(props: {
  readonly status: StatusOnView;
  readonly hall: CoachHall;
  readonly view: CoachView;
  readonly now: number;
}): JSX.Element {
  const looked = (): Looked => ({
    status: props.status,
    standing: props.view.standing,
    away: props.hall.link() === "linked" ? undefined : props.hall.since(),
    now: props.now,
  });
  const parts = createMemo(() => statusParts(looked()));
  return (
    <div class="status">
      <p class="vh" role="status">
        {troubleCount(looked())}
      </p>
      <Part markup={parts().first.markup} />
      <Part markup={parts().rings.markup} />
      <div class="status-facts">
        <Part markup={parts().screens.markup} />
        <Part markup={parts().server.markup} />
      </div>
    </div>
  );
}

export function Status(props: {
  readonly hall: CoachHall;
  readonly view: CoachView;
  readonly now: number;
}): JSX.Element {
  return (
    <main class="page">
      <Show when={props.view.status} fallback={<p class="muted">The server has not told yet how it is.</p>}>
        {(status) => <Looking status={status()} hall={props.hall} view={props.view} now={props.now} />}
      </Show>
    </main>
  );
}
