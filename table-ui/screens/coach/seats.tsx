/** Seats: every link with its QR code, on the screen and as cards to print. */
import { createMemo, createSignal, For, Show, type JSX } from "solid-js";
import { correction, generate } from "lean-qr";
import { toSvgPath } from "lean-qr/extras/svg";
import type { CoachView, SeatOnView } from "../../wire/views.ts";
import type { CoachHall } from "./hall.ts";

/** The code as one SVG path: geometry only, so that it needs no inline style. */
function Qr(props: { readonly text: string; readonly label: string }): JSX.Element {
  const code = createMemo(() => generate(props.text, { minCorrectionLevel: correction.M }));
  return (
    <svg
      class="qr"
      viewBox={`-3 -3 ${code().size + 6} ${code().size + 6}`}
      role="img"
      aria-label={props.label}
      shape-rendering="crispEdges"
    >
      <rect x="-3" y="-3" width={code().size + 6} height={code().size + 6} class="qr-paper" />
      <path d={toSvgPath(code())} class="qr-ink" />
    </svg>
  );
}

function Card(props: {
  readonly seat: SeatOnView;
  readonly hall: CoachHall;
  readonly evening: string;
}): JSX.Element {
  const link = () =>
    props.seat.path === undefined ? undefined : new URL(props.seat.path, location.origin).href;
  const { hall } = props;
  return (
    <li class="card" classList={{ revoked: props.seat.revoked }}>
      <h3>{props.seat.title}</h3>
      <p class="muted">{props.evening}</p>
      <Show
        when={!props.seat.revoked && link()}
        fallback={
          <p class="muted">
            {props.seat.revoked
              ? "Revoked: its link opens nothing."
              : "Its link is not known here any more: re-issue it."}
          </p>
        }
      >
        {(href) => (
          <>
            <Qr text={href()} label={`QR code of ${props.seat.title}`} />
            <a class="href" href={href()} target="_blank" rel="noreferrer">
              {href()}
            </a>
          </>
        )}
      </Show>
      <p class="controls">
        <span class="muted">
          {props.seat.connected === 0 ? "nobody there" : `${props.seat.connected} there`}
        </span>
        <button
          type="button"
          class="small-key"
          aria-label={`Re-issue ${props.seat.title}`}
          onClick={() => void hall.ask({ ask: "reissue seat", seat: props.seat.id })}
        >
          Re-issue
        </button>
        <Show when={!props.seat.revoked && props.seat.kind !== "coach"}>
          <button
            type="button"
            class="small-key"
            aria-label={`Revoke ${props.seat.title}`}
            onClick={() => void hall.ask({ ask: "revoke seat", seat: props.seat.id })}
          >
            Revoke
          </button>
        </Show>
      </p>
    </li>
  );
}

const KINDS = ["table", "judge", "wall", "fencer"] as const;

function Issue(props: { readonly hall: CoachHall; readonly view: CoachView }): JSX.Element {
  const [kind, setKind] = createSignal<(typeof KINDS)[number]>("judge");
  const [ring, setRing] = createSignal("");
  const [judge, setJudge] = createSignal(1);
  const [referee, setReferee] = createSignal(false);
  const [person, setPerson] = createSignal("");
  const onRing = () => kind() === "table" || kind() === "judge";
  const chosenRing = () => ring() || props.view.meet.rings[0]?.id || "";
  const issue = (): void =>
    void props.hall.ask({
      ask: "issue seat",
      kind: kind(),
      ...(onRing() ? { ring: chosenRing() } : {}),
      ...(kind() === "judge" ? { judge: judge(), referee: referee() } : {}),
      ...(kind() === "fencer" ? { person: person() } : {}),
    });
  return (
    <form
      class="add"
      onSubmit={(event) => {
        event.preventDefault();
        issue();
      }}
    >
      <label class="field">
        New seat
        <select
          onChange={(event) => setKind(KINDS.find((each) => each === event.currentTarget.value) ?? "judge")}
        >
          <For each={KINDS}>{(each) => <option selected={each === kind()}>{each}</option>}</For>
        </select>
      </label>
      <Show when={onRing()}>
        <label class="field">
          Ring
          <select onChange={(event) => setRing(event.currentTarget.value)}>
            <For each={props.view.meet.rings}>{(each) => <option value={each.id}>{each.name}</option>}</For>
          </select>
        </label>
      </Show>
      <Show when={kind() === "judge"}>
        <label class="field">
          Number
          <input
            type="number"
            min="1"
            max="9"
            value={judge()}
            onInput={(event) => setJudge(Number(event.currentTarget.value) || 1)}
          />
        </label>
        <label class="check">
          <input
            type="checkbox"
            checked={referee()}
            onChange={(event) => setReferee(event.currentTarget.checked)}
          />
          Referee
        </label>
      </Show>
      <Show when={kind() === "fencer"}>
        <label class="field">
          Fencer
          <select onChange={(event) => setPerson(event.currentTarget.value)}>
            <option value="">choose</option>
            <For each={props.view.meet.fencers}>
              {(each) => <option value={each.person}>{props.view.people[each.person]?.name}</option>}
            </For>
          </select>
        </label>
      </Show>
      <button type="submit" class="key main" disabled={kind() === "fencer" && person() === ""}>
        <span>Issue seat</span>
      </button>
    </form>
  );
}

export function Seats(props: { readonly hall: CoachHall; readonly view: CoachView }): JSX.Element {
  const seats = () =>
    Object.values(props.view.seats).toSorted((a, b) => Number(a.revoked) - Number(b.revoked));
  const loopback = () => ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);
  return (
    <main class="page">
      <Issue hall={props.hall} view={props.view} />
      <Show when={loopback()}>
        <p class="muted">
          These links open on this machine only. Start Garland with --lan and open the link that it prints;
          the codes then work on every phone in the hall.
        </p>
      </Show>
      <p class="keys">
        <button type="button" class="key" onClick={() => print()}>
          <span>Print the cards</span>
        </button>
      </p>
      <ul class="cards">
        <For each={seats()}>
          {(seat) => <Card seat={seat} hall={props.hall} evening={props.view.meet.name} />}
        </For>
      </ul>
    </main>
  );
}
