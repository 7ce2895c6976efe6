/** The judge's page: whom to watch for what, four votes at most, and a sealed slip once one is cast. */
import "./judge.css";
import { createSignal, For, Match, Show, Switch, type JSX } from "solid-js";
import { render } from "solid-js/web";
import type { BoutCommand, Side } from "../../../engine/index.ts";
import type { JudgeView } from "../../wire/views.ts";
import { capital, stageWords } from "../paint/clock.ts";
import { badge } from "../paint/parts.ts";
import { SIDE_NAMES } from "../paint/telling.ts";
import { openLink, type LinkState } from "../shared/link.ts";
import { sealedSlip, stopSign, votePicture } from "./drawings.ts";
import { ValuesToCall } from "./values.tsx";

type Ballot = NonNullable<JudgeView["ballot"]>;
type Vote = Ballot["votes"][number];

function Head(props: { readonly view: JudgeView }): JSX.Element {
  const seat = (): string => {
    const { bout, ring, referee, judge } = props.view;
    return `${bout?.ringName ?? ring}, ${referee ? "referee" : `judge ${judge}`}`;
  };
  const at = (): string => {
    const { bout, ballot } = props.view;
    if (!bout) return "No bout";
    if (bout.stage === "ended") return "Bout over";
    return `Exchange ${ballot?.no ?? bout.order.length + 1}, ${stageWords(bout)}`;
  };
  return (
    <header class="head">
      <span>{seat()}</span>
      <span>{at()}</span>
    </header>
  );
}

function Watch(props: { readonly ballot: Ballot; readonly sealed: boolean }): JSX.Element {
  return (
    <section class="watch" classList={{ sealed: props.sealed }}>
      <p class="side">
        <span innerHTML={badge(props.ballot.side, props.sealed ? 30 : 56, false).markup} />
        Watch {SIDE_NAMES[props.ballot.side]}
      </p>
      <h1>{props.ballot.watch}</h1>
    </section>
  );
}

function Votes(props: { readonly ballot: Ballot; readonly onVote: (vote: Vote) => void }): JSX.Element {
  return (
    <>
      <div class="votes">
        <For each={props.ballot.votes}>
          {(vote) => (
            <button
              type="button"
              class="key"
              classList={{ unseen: vote.picture === "unseen" }}
              onClick={() => props.onVote(vote)}
            >
              <span>{vote.label}</span>
              <span innerHTML={votePicture(vote.picture, props.ballot.side)} />
            </button>
          )}
        </For>
      </div>
      <p class="foot">Sealed until every judge has voted. Not seen is a real vote.</p>
    </>
  );
}

function Sealed(props: { readonly away: boolean; readonly onChange: () => void }): JSX.Element {
  return (
    <>
      <section class="seal" role="status">
        <div innerHTML={sealedSlip()} />
        <b>Your vote is sealed</b>
        <span>
          {props.away
            ? "It is kept here and goes out when the hall is back."
            : "It opens together with the other votes."}
        </span>
      </section>
      <button type="button" class="key wide" onClick={() => props.onChange()}>
        <span>Change my vote</span>
      </button>
    </>
  );
}

/** Nothing to vote on now: what to look for when it goes on. */
function Waiting(props: { readonly view: JudgeView }): JSX.Element {
  const says = (): string => {
    const { bout } = props.view;
    if (!bout) return "No bout on this ring yet.";
    return bout.stage === "ended" ? (bout.endingSentence ?? "The bout is over.") : "Nothing to vote on yet.";
  };
  return (
    <>
      <Show when={props.view.watches.length > 0 && props.view.bout?.stage !== "ended"}>
        <section class="watches">
          <h1>Watch for</h1>
          <ul>
            <For each={props.view.watches}>{(watch) => <li>{capital(watch)}</li>}</For>
          </ul>
        </section>
      </Show>
      <p class="quiet-line" role="status">
        {says()}
      </p>
    </>
  );
}

/** One press, no question asked: whoever sees danger stops. */
function Stop(props: { readonly onStop: () => void }): JSX.Element {
  return (
    <div class="stopping">
      <button type="button" class="key stop wide" onClick={() => props.onStop()}>
        <span innerHTML={stopSign()} />
        <span>Stop the bout</span>
      </button>
    </div>
  );
}

function Judge(): JSX.Element {
  const [view, setView] = createSignal<JudgeView>();
  const [state, setState] = createSignal<LinkState>("linking");
  const [since, setSince] = createSignal("");
  /** What this device has voted, by exchange, before the hall has said so. */
  const [own, setOwn] = createSignal<Readonly<Record<string, string>>>({});
  const [changing, setChanging] = createSignal("");
  const [refused, setRefused] = createSignal("");

  const link = openLink<JudgeView>({
    view(next) {
      // What was refused for want of room is asked for again by whoever wants it.
      if (view()?.standing !== undefined && next.standing === undefined) setRefused("");
      setView(next);
    },
    state(next, at) {
      setSince(new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false }));
      setState(next);
    },
  });
  const notice = (): string =>
    state() === "away"
      ? `No news from the hall since ${since()}. Your vote is kept here until it is back.`
      : state() === "gone"
        ? "This link has been replaced. Ask your coach for the new one."
        : (view()?.standing?.sentence ?? "");
  const cast = (ballot: Ballot): string | undefined => own()[ballot.exchange] ?? ballot.cast;
  const sealed = (ballot: Ballot): boolean => cast(ballot) !== undefined && changing() !== ballot.exchange;

  const vote = async (ballot: Ballot, { label, picture, facts }: Vote): Promise<void> => {
    const bout = view()?.bout;
    if (!bout) return;
    // While nothing is recorded a vote must not look as if it counted.
    if (view()?.standing === undefined) setOwn({ ...own(), [ballot.exchange]: label });
    setChanging("");
    setRefused("");
    const notSeen = picture === "unseen";
    const answer = await link.command(
      { bout: bout.id },
      { type: "Vote", exchange: ballot.exchange, facts: facts ?? [], label, ...(notSeen && { notSeen }) },
    );
    if (answer.ok) return void setOwn({ ...own(), [ballot.exchange]: label });
    const { [ballot.exchange]: _gone, ...rest } = own();
    setOwn(rest);
    setRefused(answer.refusal.sentence);
  };
  /** A command about the bout on this ring; a refusal stands on the page until something else succeeds. */
  const give = async (command: BoutCommand): Promise<void> => {
    const bout = view()?.bout;
    if (!bout) return;
    const answer = await link.command({ bout: bout.id }, command);
    setRefused(answer.ok ? "" : answer.refusal.sentence);
  };
  const callValue = (exchange: string, call: string, side: Side, value?: number): Promise<void> => {
    const said = { call, for: side, ...(value === undefined ? {} : { value }) };
    return give({ type: "GiveFacts", exchange, facts: [{ fact: "call", call: said }] });
  };
  const assent = (exchange: string, call: string, side: Side): Promise<void> =>
    give({ type: "Assent", exchange, call, side });
  const stop = async (seat: JudgeView): Promise<void> => {
    if (!seat.bout) return;
    const why = seat.referee ? "The referee stopped the bout." : `Judge ${seat.judge} called stop.`;
    const answer = await link.command({ bout: seat.bout.id }, { type: "Stop", why });
    setRefused(answer.ok ? "" : answer.refusal.sentence);
  };

  return (
    <>
      <p class="notice" role="status">
        {notice()}
      </p>
      <main>
        <Show when={view()} fallback={<p class="quiet-line">Waiting for the hall.</p>}>
          {(seen) => (
            <>
              <Head view={seen()} />
              <Switch fallback={<Waiting view={seen()} />}>
                <Match when={seen().ballot}>
                  {(ballot) => (
                    <>
                      <Watch ballot={ballot()} sealed={sealed(ballot())} />
                      <Show
                        when={sealed(ballot())}
                        fallback={
                          <Votes ballot={ballot()} onVote={(chosen) => void vote(ballot(), chosen)} />
                        }
                      >
                        <Sealed away={state() === "away"} onChange={() => setChanging(ballot().exchange)} />
                      </Show>
                    </>
                  )}
                </Match>
              </Switch>
              <Show when={seen().values}>
                {(values) => (
                  <ValuesToCall
                    values={values()}
                    onCall={(call, side, value) => void callValue(values().exchange, call, side, value)}
                    onAssent={(call, side) => void assent(values().exchange, call, side)}
                  />
                )}
              </Show>
              <Show when={refused()}>
                <p class="refused" role="alert">
                  {refused()}
                </p>
              </Show>
              <Show when={seen().bout && seen().bout?.stage !== "ended"}>
                <Stop onStop={() => void stop(seen())} />
              </Show>
            </>
          )}
        </Show>
      </main>
    </>
  );
}

const place = document.querySelector("#app");
if (place) render(() => <Judge />, place);
