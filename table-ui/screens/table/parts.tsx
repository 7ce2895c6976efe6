/** Small pieces of the table page. */
import { For, Show, type JSX } from "solid-js";
import type { BoutOnView } from "../../wire/views.ts";
import type { Side } from "../../../engine/index.ts";
import { SIDES } from "../../../rules/index.ts";
import { clockText, clockWords, shownMs, stageWords } from "../paint/clock.ts";
import { garland } from "../paint/garland.ts";
import { marksOf, type Mark } from "../paint/marks.ts";
import { badge, bonusLine, spool } from "../paint/parts.ts";
import { numeral } from "../paint/shapes.ts";
import { exchangeInWords, garlandLabel } from "../paint/telling.ts";

export function Cap(props: { readonly text: string }): JSX.Element {
  return (
    <Show when={props.text}>
      <kbd class="cap" aria-hidden="true">
        {props.text}
      </kbd>
    </Show>
  );
}

function Who(props: { readonly bout: BoutOnView; readonly side: Side }): JSX.Element {
  const fencer = () => props.bout[props.side];
  return (
    <div class={`who ${props.side}`}>
      <span class="pts tab">{numeral(fencer().points)}</span>
      <span class="vh">{fencer().points === 1 ? "point" : "points"}</span>
      <div>
        <p class="n1">
          <span innerHTML={badge(props.side, 26).markup} />
          <b>{fencer().name}</b>
        </p>
        <p class="n2" innerHTML={bonusLine(fencer(), 24, true).markup} />
      </div>
    </div>
  );
}

/** The draft takes the place of the exchange under way, or stands where it will be put right. */
function withDraft(bout: BoutOnView, draft: Mark | undefined, no: number): readonly Mark[] {
  const marks = marksOf(bout);
  if (draft === undefined) return marks;
  const at = no - 1;
  return at >= marks.length ? [...marks, draft] : marks.map((mark, i) => (i === at ? draft : mark));
}

/** The two-voice staff: Red above the thread, Blue below, the clock at its end. */
export function Staff(props: {
  readonly bout: BoutOnView;
  readonly now: number;
  readonly draft?: Mark | undefined;
  readonly no: number;
  readonly narrow: boolean;
  readonly onPick: (exchange: string) => void;
  readonly onClock: () => void;
  readonly clockDoes: string;
  readonly cap: string;
}): JSX.Element {
  const picture = () =>
    garland(withDraft(props.bout, props.draft, props.no), {
      width: props.narrow ? 344 : 700,
      height: props.narrow ? 150 : 232,
      planned: props.bout.planned,
      ...(props.narrow ? {} : { numbers: 15 }),
      leadOut: true,
      label: garlandLabel(props.bout),
    });
  const picked = (event: MouseEvent): void => {
    const id = (event.target as Element).closest("[data-x]")?.getAttribute("data-x");
    if (id && props.bout.exchanges[id] !== undefined) props.onPick(id);
  };
  const size = () => (props.narrow ? 104 : 208);
  const clock = () => props.bout.clock;
  return (
    <section class="staff" aria-label="The bout">
      <div class="whos">
        <Who bout={props.bout} side="red" />
        <Who bout={props.bout} side="blue" />
      </div>
      {/* The same choice stands as buttons in the list below the pad. */}
      <div class="fig" onClick={picked} innerHTML={picture()} />
      <button type="button" class="clock" onClick={() => props.onClock()}>
        <span class="vh">
          {props.clockDoes}, {clockWords(clock(), props.now)}
        </span>
        <span
          aria-hidden="true"
          innerHTML={
            spool(clockText(clock(), props.now), "", shownMs(clock(), props.now), size(), !props.narrow)
              .markup
          }
        />
        <span class="doing" aria-hidden="true">
          {stageWords(props.bout)}
        </span>
        <Cap text={props.cap} />
      </button>
    </section>
  );
}

/** What concerns more than this bout: the teams' totals, and what earlier bouts that were put right would bring otherwise. */
export function Around(props: { readonly bout: BoutOnView }): JSX.Element {
  return (
    <>
      <Show when={props.bout.teams}>
        {(teams) => (
          <p class="teams">
            <For each={SIDES}>
              {(side) => (
                <span>
                  <span innerHTML={badge(side, 22).markup} /> {teams()[side].team}{" "}
                  <b class="tab">{numeral(teams()[side].points)}</b>
                </span>
              )}
            </For>
          </p>
        )}
      </Show>
      <Show when={props.bout.earlier.length > 0}>
        <ul class="earlier" aria-label="Put right in an earlier bout">
          <For each={props.bout.earlier}>{(sentence) => <li>{sentence}</li>}</For>
        </ul>
      </Show>
    </>
  );
}

/** Every exchange as a button, for keyboards and readers; the thread itself can be pressed too. */
export function Exchanges(props: {
  readonly bout: BoutOnView;
  readonly onPick: (exchange: string) => void;
}): JSX.Element {
  return (
    <details class="list">
      <summary>All exchanges</summary>
      <ol>
        <For each={props.bout.order}>
          {(id) => (
            <Show when={props.bout.exchanges[id]}>
              {(exchange) => (
                <li>
                  <button type="button" class="row-key" onClick={() => props.onPick(id)}>
                    <b class="tab">{exchange().no}</b>
                    <span>
                      {exchange().sentence} {exchangeInWords(exchange()).replace(/^[^:]*: /, "")}
                      <Show when={exchange().putRight}>
                        <span class="muted"> {exchange().putRight}</span>
                      </Show>
                    </span>
                    <span class="muted">put right</span>
                  </button>
                </li>
              )}
            </Show>
          )}
        </For>
      </ol>
    </details>
  );
}
