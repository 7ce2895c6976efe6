/** The coach's page: the evening, its rule sets, its people, its seats. */
import "./coach.css";
import { createEffect, createSignal, For, Match, onCleanup, Show, Switch, type JSX } from "solid-js";
import { render } from "solid-js/web";
import { Board } from "./board.tsx";
import { Fencers } from "./fencers.tsx";
import { openCoachHall } from "./hall.ts";
import { latePart } from "../shared/late.ts";
import { Seats } from "./seats.tsx";
import { Status } from "./status.tsx";

const ROUTES = [
  ["#board", "Board"],
  ["#rules", "Rule sets"],
  ["#fencers", "Fencers"],
  ["#seats", "Seats"],
  ["#status", "Status"],
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
  // They bring the language, its messages and the scorer: most of all scripts, and the board does not wait for them.
  const rules = latePart(() => import("./rules.tsx"));
  createEffect(() => {
    if (hall.link() === "linked") rules.fetch();
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
          <Show when={hall.link() === "linked" && hall.view()?.until}>
            {(until) => <>, hall until {until()}</>}
          </Show>
        </p>
      </header>
      <p class="notice" role="alert">
        {hall.link() === "linked" ? hall.view()?.standing?.sentence : ""}
      </p>
      <p class="notice" role="alert">
        {hall.refused()}
      </p>
      <Show when={hall.view()} fallback={<main class="wait">Waiting for the hall.</main>}>
        {(view) => (
          <Switch fallback={<Board hall={hall} view={view()} now={now()} />}>
            <Match when={route() === "#rules"}>
              <Show
                when={rules.part()}
                fallback={
                  <main class="wait">
                    {rules.isLost()
                      ? "The rule sets did not arrive. Load this page again when the hall is in reach."
                      : "Opening the rule sets."}
                  </main>
                }
              >
                {(part) => {
                  const { RuleSets } = part();
                  return <RuleSets hall={hall} view={view()} />;
                }}
              </Show>
            </Match>
            <Match when={route() === "#fencers"}>
              <Fencers hall={hall} view={view()} />
            </Match>
            <Match when={route() === "#seats"}>
              <Seats hall={hall} view={view()} />
            </Match>
            <Match when={route() === "#status"}>
              <Status hall={hall} view={view()} now={now()} />
            </Match>
          </Switch>
        )}
      </Show>
    </>
  );
}

const place = document.querySelector("#app");
if (place !== null) render(() => <Coach />, place);
