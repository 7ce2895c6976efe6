/** Who is here: add, let rest, send home, forget. */
import { createSignal, For, type JSX } from "solid-js";
import { FENCER_MARKS } from "../../../engine/index.ts";
import type { CoachView } from "../../wire/views.ts";
import type { CoachHall } from "./hall.ts";
import { RosterFacts } from "./roster.tsx";

/** "Mira Halden" -> "Mira H."; a coach may write another. */
export function shortNameOf(name: string): string {
  const words = name.trim().split(/\s+/);
  const [first = ""] = words;
  const last = words.length > 1 ? (words.at(-1) ?? "") : "";
  return last === "" ? first : `${first} ${last.charAt(0)}.`;
}

export function Fencers(props: { readonly hall: CoachHall; readonly view: CoachView }): JSX.Element {
  const { hall } = props;
  const [name, setName] = createSignal("");
  const [wall, setWall] = createSignal(true);
  const [sure, setSure] = createSignal("");
  const teams = () => [...new Set(props.view.meet.fencers.flatMap(({ team }) => team ?? []))];
  const add = async (): Promise<void> => {
    const answer = await hall.ask({
      ask: "add fencer",
      name: name().trim(),
      shortName: wall() ? shortNameOf(name()) : "",
      consents: [],
    });
    if (answer.ok) setName("");
  };
  const erase = (person: string): void => {
    if (sure() !== person) return void setSure(person);
    setSure("");
    void hall.ask({ ask: "erase fencer", person });
  };
  return (
    <main class="page">
      <form
        class="add"
        onSubmit={(event) => {
          event.preventDefault();
          void add();
        }}
      >
        <label class="field">
          New fencer
          <input value={name()} maxlength="80" onInput={(event) => setName(event.currentTarget.value)} />
        </label>
        <label class="check">
          <input
            type="checkbox"
            checked={wall()}
            onChange={(event) => setWall(event.currentTarget.checked)}
          />
          Short name may stand on the wall
        </label>
        <button type="submit" class="key main" disabled={name().trim() === ""}>
          <span>Add fencer</span>
        </button>
      </form>
      <p class="muted">
        Minors: first name or number only, and nothing public without consent. Notes about health stay with
        you.
      </p>
      <datalist id="teams">
        <For each={teams()}>{(team) => <option value={team} />}</For>
      </datalist>
      <ul class="lines people">
        <For each={props.view.meet.fencers}>
          {(fencer) => {
            const person = () => props.view.people[fencer.person];
            return (
              <li>
                <b class="grow">{person()?.name || "Erased"}</b>
                <span class="muted">{person()?.shortName || "no name on the wall"}</span>
                <label>
                  <span class="vh">{person()?.name} is</span>
                  <select
                    value={fencer.as}
                    onChange={(event) => {
                      const as = FENCER_MARKS.find((state) => state === event.currentTarget.value);
                      if (as !== undefined)
                        void hall.command("meet", { type: "MarkFencer", person: fencer.person, as });
                    }}
                  >
                    <For each={FENCER_MARKS}>
                      {(state) => (
                        <option value={state} selected={state === fencer.as}>
                          {state}
                        </option>
                      )}
                    </For>
                  </select>
                </label>
                <button
                  type="button"
                  class="small-key"
                  aria-label={`Erase ${person()?.name ?? "this fencer"}`}
                  onClick={() => erase(fencer.person)}
                >
                  {sure() === fencer.person ? "Press again: name and notes go for good" : "Erase"}
                </button>
                <RosterFacts hall={hall} fencer={fencer} name={person()?.name ?? "Erased"} />
              </li>
            );
          }}
        </For>
      </ul>
    </main>
  );
}
