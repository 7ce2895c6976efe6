/** The coach's page: the evening, its rule sets, its people, its seats. */
import "./coach.css";
import { createSignal, For, Match, onCleanup, Show, Switch, type JSX } from "solid-js";
import { render } from "solid-js/web";
import { Board } from "./board.tsx";
import { Fencers } from "./fencers.tsx";
import { openCoachHall } from "./hall.ts";
import { RuleSets } from "./rules.tsx";
import { Seats } from "./seats.tsx";

const ROUTES = [
  ["#board", "Board"],
  ["#rules", "Rule sets"],
  ["#fencers", "Fencers"],
  ["#seats", "Seats"],
] as const;

const hours = (at: number): string =>
  new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });

function Coach(): JSX.Element {
  const hall = openCoachHall();
  const [route, setRoute] = createSignal(location.hash || "#board");
  const [now, setNow] = createSignal(hall.now());
  const turned = (): void => void setRoute(location.hash || "#board");
  addEventListener("hashchange", turned);
  const ticking = setInterval(() => setNow(hall.now()), 500);
  onCleanup(() => {
    removeEventListener("hashchange", turned);
    clearInterval(ticking);
  });
  return (
    <>
      <header class="top">
        <h1>{hall.view()?.meet.name ?? "Garland"}</h1>
        <nav aria-label="Pages">
          <For each={ROUTES}>
            {([hash, name]) => (
              <a href={hash} aria-current={route() === hash ? "page" : undefined}>
                {name}
              </a>
            )}
          </For>
        </nav>
        <p class="tab muted">
          {hall.link() === "linked"
            ? hours(now())
            : hall.link() === "gone"
              ? "This link has been replaced."
              : "Out of reach: what you see may be old."}
          <Show when={hall.view()?.until}>{(until) => <>, hall until {until()}</>}</Show>
        </p>
      </header>
      <p class="notice" role="alert">
        {hall.refused()}
      </p>
      <Show when={hall.view()} fallback={<main class="wait">Waiting for the hall.</main>}>
        {(view) => (
          <Switch fallback={<Board hall={hall} view={view()} now={now()} />}>
            <Match when={route() === "#rules"}>
              <RuleSets hall={hall} view={view()} />
            </Match>
            <Match when={route() === "#fencers"}>
              <Fencers hall={hall} view={view()} />
            </Match>
            <Match when={route() === "#seats"}>
              <Seats hall={hall} view={view()} />
            </Match>
          </Switch>
        )}
      </Show>
    </>
  );
}

const place = document.querySelector("#app");
if (place !== null) render(() => <Coach />, place);
