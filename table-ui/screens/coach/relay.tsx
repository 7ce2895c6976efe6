/** What comes next by a rule of the hall: the winner stays on a ring, or two teams fence a relay. */
import { createSignal, For, Show, type JSX } from "solid-js";
import { relayOrder } from "../../../engine/index.ts";
import type { CoachView } from "../../wire/views.ts";
import { Choose } from "./choose.tsx";
import { newId, type CoachHall } from "./hall.ts";

interface Props {
  readonly hall: CoachHall;
  readonly view: CoachView;
}

/** Winner stays: who holds the ring's hill, against whoever has waited longest. */
export function OnTheHill(props: Props): JSX.Element {
  const nameOf = (person: string): string => props.view.people[person]?.name ?? "erased";
  const rows = () =>
    props.view.meet.rings.flatMap((ring) => {
      const pair = props.view.hill[ring.id];
      return pair === undefined ? [] : [{ ring, ...pair }];
    });
  return (
    <For each={rows()}>
      {({ ring, red, blue, ruleSet }) => (
        <li>
          <span class="muted">{ring.name}</span>
          <span class="grow">
            Next on the hill, the winner stays: {nameOf(red)} and {nameOf(blue)}
          </span>
          <button
            type="button"
            class="small-key"
            aria-label={`Plan ${nameOf(red)} and ${nameOf(blue)} on ${ring.name}`}
            onClick={() =>
              void props.hall.command("meet", {
                type: "PlanBout",
                bout: newId(),
                ring: ring.id,
                red,
                blue,
                ruleSet,
              })
            }
          >
            Plan it
          </button>
        </li>
      )}
    </For>
  );
}

/** Teams of the roster, with whoever of them is here, in the roster's order. */
function teamsOf(view: CoachView): ReadonlyMap<string, readonly string[]> {
  const teams = new Map<string, string[]>();
  for (const { team, person, as } of view.meet.fencers)
    if (team !== undefined && as === "here") teams.set(team, [...(teams.get(team) ?? []), person]);
  return teams;
}

export function Relay(props: Props): JSX.Element {
  const [ring, setRing] = createSignal("");
  const [red, setRed] = createSignal("");
  const [blue, setBlue] = createSignal("");
  const [rules, setRules] = createSignal("");
  const teams = () => teamsOf(props.view);
  const chosenRing = () => ring() || props.view.meet.rings[0]?.id || "";
  const chosenRules = () => rules() || props.view.meet.shelf.at(-1)?.ruleSet || "";
  const order = () => relayOrder(teams().get(red()) ?? [], teams().get(blue()) ?? []);
  const plan = async (): Promise<void> => {
    const bouts = order().map((pair) => ({ bout: newId(), ...pair }));
    const planned = await props.hall.command("meet", {
      type: "PlanRelay",
      ring: chosenRing(),
      ruleSet: chosenRules(),
      redTeam: red(),
      blueTeam: blue(),
      bouts,
    });
    if (!planned) return;
    setRed("");
    setBlue("");
  };
  const names = () => [...teams().keys()].map((team) => [team, team] as const);
  return (
    <Show when={teams().size > 1}>
      <section class="call" aria-label="Plan a relay">
        <h2>Relay of two teams</h2>
        <form
          onSubmit={(event) => {
            event.preventDefault();
            void plan();
          }}
        >
          <Choose
            label="On ring"
            value={chosenRing()}
            onChoose={setRing}
            options={props.view.meet.rings.map(({ id, name }) => [id, name] as const)}
          />
          <Choose label="Red team" value={red()} onChoose={setRed} options={names()} empty="choose" />
          <Choose label="Blue team" value={blue()} onChoose={setBlue} options={names()} empty="choose" />
          <Choose
            label="Under"
            value={chosenRules()}
            onChoose={setRules}
            options={props.view.meet.shelf.map(({ ruleSet, name }) => [ruleSet, name] as const)}
          />
          <div class="keys">
            <button type="submit" class="key" disabled={red() === blue() || order().length === 0}>
              <span>Plan {order().length === 0 ? "the relay" : `${order().length} bouts`}</span>
            </button>
          </div>
        </form>
      </section>
    </Show>
  );
}
