/** The head line and what it has to admit: saved, waiting, lost, refused, whose pen. */
import { For, Show, type JSX } from "solid-js";
import type { BoutOnView } from "../../wire/views.ts";
import type { Station } from "./station.ts";

const hours = (at: number): string =>
  new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });

function saved(station: Station): string {
  const waits = station.waiting();
  const presses = waits === 1 ? "1 entry waits" : `${waits} entries wait`;
  if (station.link() === "linked" && station.view()?.standing !== undefined)
    return waits === 0 ? "Nothing waits" : `${presses} on this tablet`;
  if (station.link() === "linked") return waits === 0 ? "Everything saved" : `Saving, ${presses}`;
  return waits === 0 ? "Server lost, nothing waits" : `Server lost, ${presses} on this tablet`;
}

export function Head(props: {
  readonly station: Station;
  readonly seen?: BoutOnView | undefined;
  readonly now: number;
}): JSX.Element {
  const settled = () =>
    props.station.link() === "linked" &&
    props.station.view()?.standing === undefined &&
    props.station.waiting() === 0;
  return (
    <header class="head">
      <b>{props.seen?.ringName ?? props.station.view()?.ringName ?? "Table"}</b>
      <Show when={props.seen}>
        {(seen) => (
          <>
            <span>Bout {seen().no}</span>
            <span class="wide">
              <b>{seen().ruleSet.name}</b>
              {seen().ruleSet.weapon === undefined ? "" : `, ${seen().ruleSet.weapon}`}
            </span>
          </>
        )}
      </Show>
      <span class="gap" />
      <span class="saved" role="status">
        <Show when={settled()}>
          <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
            <path d="M2 8.5l4 4 8-9" class="tick" />
          </svg>
        </Show>
        {saved(props.station)}
      </span>
      <Show when={props.station.holdsPen()}>
        <span class="wide">This tablet holds the pen</span>
      </Show>
      <b class="tab wide">{hours(props.now)}</b>
    </header>
  );
}

export function Notices(props: { readonly station: Station }): JSX.Element {
  const { station } = props;
  return (
    <div class="notices">
      <Show when={station.link() === "away"}>
        <p class="notice" role="alert">
          The server is out of reach since {hours(station.since())}. Go on scoring: everything is kept on this
          tablet and goes out when it is back.
        </p>
      </Show>
      <Show when={station.link() === "linked" && station.view()?.standing}>
        {(standing) => (
          <p class="notice" role="alert">
            {standing().sentence}
          </p>
        )}
      </Show>
      <Show when={station.link() === "gone"}>
        <p class="notice" role="alert">
          This link has been replaced. Ask the coach for the new one; what waits here is kept.
        </p>
      </Show>
      <Show when={station.penElsewhere()}>
        <p class="notice pen">
          <span>Another device writes for this ring. Take the pen to score here.</span>
          <button type="button" class="key" onClick={() => station.takePen()}>
            <span>Take the pen</span>
          </button>
        </p>
      </Show>
      <Show when={station.refused()}>
        {(refusal) => (
          <p class="notice" role="alert">
            {refusal().sentence}
          </p>
        )}
      </Show>
      <For each={station.setAside()}>
        {(aside) => (
          <p class="notice pen" role="alert">
            <span>
              Set aside, not lost: {aside.pending.command.type}. {aside.refusal.sentence}
            </span>
            <button type="button" class="key" onClick={() => station.adopt(aside)}>
              <span>Try again</span>
            </button>
            <button type="button" class="key" onClick={() => station.drop(aside)}>
              <span>Drop it</span>
            </button>
          </p>
        )}
      </For>
    </div>
  );
}
