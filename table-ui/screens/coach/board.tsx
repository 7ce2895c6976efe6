/** The evening at a glance: rings live, what waits for the coach, what is next, who waits longest. */
import { For, Show, type JSX } from "solid-js";
import type { PlannedBout, Ring } from "../../../engine/index.ts";
import { SIDES } from "../../../rules/index.ts";
import type { BoutOnView, CoachView } from "../../wire/views.ts";
import { clockText, shownMs, stageWords } from "../paint/clock.ts";
import { garland } from "../paint/garland.ts";
import { marksOf } from "../paint/marks.ts";
import { badge, bonusLine, leafTag, spool } from "../paint/parts.ts";
import { numeral } from "../paint/shapes.ts";
import { garlandLabel, tellingTable } from "../paint/telling.ts";
import { CallBout } from "./call.tsx";
import type { CoachHall } from "./hall.ts";
import { OnTheHill, Relay } from "./relay.tsx";

interface Props {
  readonly hall: CoachHall;
  readonly view: CoachView;
  readonly now: number;
}

const nameOf = (view: CoachView, person: string): string => view.people[person]?.name ?? "erased";

/** A bout as one line: both names above each other, the thread between, the score. */
function Thread(props: {
  readonly bout: BoutOnView;
  readonly label: string;
  readonly height: number;
}): JSX.Element {
  const picture = () =>
    garland(marksOf(props.bout), {
      width: 330,
      height: props.height,
      planned: props.bout.planned,
      label: garlandLabel(props.bout),
    });
  return (
    <>
      <div class="fig" innerHTML={picture()} />
      <div innerHTML={tellingTable(props.bout, props.label).markup} />
    </>
  );
}

/** What came into this bout otherwise than the earlier bouts, put right since, would bring it now. */
function Earlier(props: { readonly bout: BoutOnView }): JSX.Element {
  return (
    <Show when={props.bout.earlier.length > 0}>
      <ul class="earlier" aria-label={`Bout ${props.bout.no}: put right in an earlier bout`}>
        <For each={props.bout.earlier}>{(sentence) => <li>{sentence}</li>}</For>
      </ul>
    </Show>
  );
}

function LiveRing(props: Props & { readonly ring: Ring; readonly bout: BoutOnView }): JSX.Element {
  const { hall } = props;
  const on = () => ({ bout: props.bout.id });
  return (
    <section class="ring" aria-label={props.ring.name}>
      <p class="ring-head">
        <b>{props.ring.name}</b>
        <span class="muted">
          bout {props.bout.no}, {stageWords(props.bout)}, {props.bout.ruleSet.name}
        </span>
        <Show
          when={props.bout.stage === "ended"}
          fallback={
            <button
              type="button"
              class="small-key"
              aria-label={`Stop bout ${props.bout.no}`}
              onClick={() => void hall.command(on(), { type: "Stop", why: "The coach stopped the bout." })}
            >
              Stop bout
            </button>
          }
        >
          <button
            type="button"
            class="small-key"
            aria-label={`Clear ${props.ring.name}`}
            onClick={() => void hall.command("meet", { type: "ClearRing", ring: props.ring.id })}
          >
            Clear the ring
          </button>
        </Show>
      </p>
      <div class="live">
        <ul class="pair">
          <For each={SIDES}>
            {(side) => (
              <li>
                <span innerHTML={badge(side, 24).markup} />
                <span class="name">{props.bout[side].name}</span>
                <b class="tab">{numeral(props.bout[side].points)}</b>
                <span class="tags" innerHTML={bonusLine(props.bout[side], 22, false).markup} />
              </li>
            )}
          </For>
        </ul>
        <div class="thread">
          <Thread bout={props.bout} label={`${props.ring.name}, bout ${props.bout.no}`} height={132} />
        </div>
        <span
          innerHTML={
            spool(
              clockText(props.bout.clock, props.now),
              `Clock ${clockText(props.bout.clock, props.now)}`,
              shownMs(props.bout.clock, props.now),
              88,
              false,
            ).markup
          }
        />
      </div>
      <Show when={props.bout.teams}>
        {(teams) => (
          <p>
            {teams().red.team} {numeral(teams().red.points)}, {teams().blue.team}{" "}
            {numeral(teams().blue.points)}
          </p>
        )}
      </Show>
      <Show when={props.view.votes[props.bout.id]}>
        {(votes) => (
          <p class="muted" role="status">
            Judges who have voted on the last exchange: {votes().cast} of {votes().seats}.
          </p>
        )}
      </Show>
      <Show when={props.bout.endingSentence}>{(said) => <p class="said">{said()}</p>}</Show>
      <Earlier bout={props.bout} />
    </section>
  );
}

function Waits(props: Props): JSX.Element {
  return (
    <For each={props.view.waits}>
      {({ bout, ring, question }) => {
        const stake = question.stake[0];
        const exchange = () => props.view.bouts[bout]?.order[question.exchange - 1];
        return (
          <div class="open-box wait-for">
            <span innerHTML={leafTag(stake?.span.most ?? 0, 40, "open").markup} />
            <p>
              <b>{ring}</b> {question.text}
            </p>
            <For each={question.answers}>
              {(answer) => (
                <button
                  type="button"
                  class="small-key"
                  onClick={() => {
                    const id = exchange();
                    if (id !== undefined)
                      void props.hall.command(
                        { bout },
                        { type: "GiveFacts", exchange: id, facts: answer.facts },
                      );
                  }}
                >
                  {answer.label}
                </button>
              )}
            </For>
          </div>
        );
      }}
    </For>
  );
}

function Next(props: Props): JSX.Element {
  const call = (planned: PlannedBout): void => void props.hall.ask({ ask: "call bout", bout: planned.bout });
  const free = (planned: PlannedBout): boolean => {
    const ring = props.view.meet.rings.find((each) => each.id === planned.ring);
    return ring?.bout === undefined || props.view.bouts[ring.bout]?.stage === "ended";
  };
  return (
    <section>
      <h2>Next</h2>
      <ul class="lines">
        <For each={props.view.meet.planned} fallback={<li class="muted">Nothing is planned.</li>}>
          {(planned) => (
            <li>
              <span class="muted">
                {props.view.meet.rings.find((ring) => ring.id === planned.ring)?.name ?? planned.ring}
              </span>
              <span class="grow">
                {nameOf(props.view, planned.red)} and {nameOf(props.view, planned.blue)}
              </span>
              <button
                type="button"
                class="small-key"
                disabled={!free(planned)}
                aria-label={`Call bout ${planned.no}`}
                onClick={() => call(planned)}
              >
                Call
              </button>
              <button
                type="button"
                class="small-key"
                aria-label={`Drop bout ${planned.no}`}
                onClick={() =>
                  void props.hall.command("meet", { type: "DropPlannedBout", bout: planned.bout })
                }
              >
                Drop
              </button>
            </li>
          )}
        </For>
        <OnTheHill hall={props.hall} view={props.view} />
      </ul>
    </section>
  );
}

function Done(props: Props): JSX.Element {
  const done = () =>
    Object.values(props.view.bouts)
      .filter((bout) => bout.stage === "ended")
      .sort((a, b) => b.no - a.no)
      .slice(0, 5);
  return (
    <section>
      <h2>Done, the latest</h2>
      <ul class="done">
        <For each={done()} fallback={<li class="muted">No bout has ended yet.</li>}>
          {(bout) => (
            <li>
              <span>
                {bout.red.name}, {bout.blue.name}
              </span>
              <div>
                <Thread bout={bout} label={`Bout ${bout.no}`} height={96} />
              </div>
              <span class="tab">
                {numeral(bout.red.points)} to {numeral(bout.blue.points)}
              </span>
              <Earlier bout={bout} />
            </li>
          )}
        </For>
      </ul>
    </section>
  );
}

/** Met, tried, landed: a dot for each cue, a leaf outline for each try, a full leaf for each success. */
function Marks(props: {
  readonly cue: number;
  readonly tried: number;
  readonly landed: number;
}): JSX.Element {
  const words = () => `${props.cue} met the cue, ${props.tried} tried, ${props.landed} landed`;
  return (
    <span class="met" role="img" aria-label={words()} title={words()}>
      <For each={Array.from({ length: Math.min(props.landed, 8) })}>
        {() => <span innerHTML={leafTag(0, 18).markup} />}
      </For>
      <For each={Array.from({ length: Math.min(Math.max(0, props.tried - props.landed), 8) })}>
        {() => <span class="tried" innerHTML={leafTag(0, 18).markup} />}
      </For>
      <For each={Array.from({ length: Math.min(Math.max(0, props.cue - props.tried), 8) })}>
        {() => <i class="dot" />}
      </For>
    </span>
  );
}

function Waiting(props: Props): JSX.Element {
  const minutes = (since: number): number => Math.max(0, Math.round((props.now - since) / 60_000));
  const sorted = () =>
    props.view.fencers.toSorted((a, b) => (a.waitsSince ?? Infinity) - (b.waitsSince ?? Infinity));
  return (
    <section>
      <h2>Fencers, the longest wait first</h2>
      <table class="fencers">
        <thead>
          <tr>
            <th scope="col">Fencer</th>
            <th scope="col">Bouts</th>
            <th scope="col">
              <span class="legend">
                <i class="dot" /> cue <span class="tried" innerHTML={leafTag(0, 16).markup} /> tried{" "}
                <span innerHTML={leafTag(0, 16).markup} /> landed
              </span>
            </th>
          </tr>
        </thead>
        <tbody>
          <For each={sorted()}>
            {(fencer) => (
              <tr>
                <th scope="row">{nameOf(props.view, fencer.person)}</th>
                <td>
                  {fencer.bouts}, {fencer.doing}
                  {fencer.waitsSince === undefined ? "" : `, ${minutes(fencer.waitsSince)} min`}
                </td>
                <td>
                  <Marks cue={fencer.cue} tried={fencer.tried} landed={fencer.landed} />
                </td>
              </tr>
            )}
          </For>
        </tbody>
      </table>
      <p class="muted">One evening proves nothing; three to five do.</p>
    </section>
  );
}

export function Board(props: Props): JSX.Element {
  return (
    <main class="board">
      <div class="left">
        <For each={props.view.meet.rings}>
          {(ring) => (
            <Show
              when={ring.bout === undefined ? undefined : props.view.bouts[ring.bout]}
              fallback={
                <section class="ring">
                  <p class="ring-head">
                    <b>{ring.name}</b>
                    <span class="muted">free</span>
                  </p>
                </section>
              }
            >
              {(bout) => <LiveRing {...props} ring={ring} bout={bout()} />}
            </Show>
          )}
        </For>
        <Next {...props} />
        <Done {...props} />
      </div>
      <div class="right">
        <Waits {...props} />
        <CallBout hall={props.hall} view={props.view} />
        <Relay hall={props.hall} view={props.view} />
        <Waiting {...props} />
      </div>
    </main>
  );
}
