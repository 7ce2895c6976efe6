/** The table's page: one ring, one officer, three presses an exchange, with or without the server. */
import "./table.css";
import { createMemo, createSignal, onCleanup, Show, type JSX } from "solid-js";
import { render } from "solid-js/web";
import { capital } from "../paint/clock.ts";
import { latePart, type Late } from "../shared/late.ts";
import type * as RingModule from "./ring.tsx";
import { openStation, type Station } from "./station.ts";
import { Head, Notices } from "./status.tsx";

/** The ring and what scores: most of the page, and nobody needs it to wait for the hall. */
type RingPart = typeof RingModule;

/** What stands there while no bout does. */
function waitsFor(station: Station, isLost: boolean): string {
  if (isLost) return "A part of this page did not arrive. Load the page again; what waits here is kept.";
  if (station.view() === undefined) return "Waiting for the hall.";
  if (station.view()?.boutId !== undefined) return "The bout is being laid out.";
  return "No bout on this ring. The coach calls the next one.";
}

function Table(props: { readonly station: Station; readonly ring: Late<RingPart> }): JSX.Element {
  const { station } = props;
  const [now, setNow] = createSignal(station.now());
  const ticking = setInterval(() => setNow(station.now()), 200);
  onCleanup(() => clearInterval(ticking));
  const here = createMemo(() => {
    const view = station.view();
    const bout = station.bout();
    const rules = station.rules();
    const part = props.ring.part();
    if (view === undefined || bout === undefined || rules === undefined || part === undefined)
      return undefined;
    const seen = part.seenAtTable(bout, view, rules, station.now());
    return seen === undefined ? undefined : { view, bout, seen, Ring: part.Ring };
  });
  return (
    <main
      class="table"
      classList={{ away: station.link() !== "linked" || station.view()?.standing !== undefined }}
    >
      <Head station={station} seen={here()?.seen} now={now()} />
      <Notices station={station} />
      <Show
        when={here()}
        fallback={
          <section class="no-bout">
            <h1>{capital(station.view()?.ringName ?? station.view()?.ring ?? "Table")}</h1>
            <p>{waitsFor(station, props.ring.isLost())}</p>
            <Show when={station.view()?.next}>
              {(next) => (
                <p class="muted">
                  Next: {next().red} and {next().blue}.
                </p>
              )}
            </Show>
          </section>
        }
      >
        {(at) => {
          const { Ring } = at();
          return <Ring station={station} view={at().view} bout={at().bout} seen={at().seen} now={now()} />;
        }}
      </Show>
    </main>
  );
}

const place = document.querySelector("#app");
if (place !== null) {
  const ring = latePart<RingPart>(() => import("./ring.tsx"));
  ring.fetch();
  openStation(ring).then(
    (station) => render(() => <Table station={station} ring={ring} />, place),
    () => {
      place.textContent =
        "This browser keeps nothing for this page (private mode?), so the table would lose presses. Open the link in a normal window.";
    },
  );
}
