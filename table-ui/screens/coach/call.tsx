/** Calling a bout: ring, Red, Blue, rule set; or the next one that is planned. */
import { createSignal, type JSX } from "solid-js";
import type { CoachView } from "../../wire/views.ts";
import { Choose } from "./choose.tsx";
import { newId, type CoachHall } from "./hall.ts";

export function CallBout(props: { readonly hall: CoachHall; readonly view: CoachView }): JSX.Element {
  const { hall } = props;
  const [ring, setRing] = createSignal("");
  const [red, setRed] = createSignal("");
  const [blue, setBlue] = createSignal("");
  const [ruleSet, setRuleSet] = createSignal("");
  const rings = () => props.view.meet.rings;
  const shelf = () => props.view.meet.shelf;
  const isFree = (id: string): boolean => {
    const on = rings().find((each) => each.id === id)?.bout;
    return on === undefined || props.view.bouts[on]?.stage === "ended";
  };
  const chosenRing = () => ring() || (rings().find((each) => isFree(each.id)) ?? rings()[0])?.id || "";
  const chosenRules = () => ruleSet() || shelf().at(-1)?.ruleSet || "";
  const here = () =>
    props.view.meet.fencers
      .filter((fencer) => fencer.as === "here")
      .map((fencer) => [fencer.person, props.view.people[fencer.person]?.name ?? ""] as const);

  /** The ring's finished bout makes room first; a running one does not, and the refusal says so. */
  const callBout = async (id: string, at: string): Promise<void> => {
    const on = rings().find((each) => each.id === at)?.bout;
    if (on !== undefined && props.view.bouts[on]?.stage === "ended")
      if (!(await hall.command("meet", { type: "ClearRing", ring: at }))) return;
    await hall.ask({ ask: "call bout", bout: id });
  };
  const call = async (): Promise<void> => {
    const bout = newId();
    const planned = await hall.command("meet", {
      type: "PlanBout",
      bout,
      ring: chosenRing(),
      red: red(),
      blue: blue(),
      ruleSet: chosenRules(),
    });
    if (!planned) return;
    await callBout(bout, chosenRing());
    setRed("");
    setBlue("");
  };
  const next = () => props.view.meet.planned.find((planned) => isFree(planned.ring));

  return (
    <section class="call" aria-label="Call a bout">
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void call();
        }}
      >
        <Choose
          label="Ring"
          value={chosenRing()}
          onChoose={setRing}
          options={rings().map(({ id, name }) => [id, name] as const)}
        />
        <Choose label="Red" value={red()} onChoose={setRed} options={here()} empty="choose" />
        <Choose label="Blue" value={blue()} onChoose={setBlue} options={here()} empty="choose" />
        <Choose
          label="Rule set"
          value={chosenRules()}
          onChoose={setRuleSet}
          options={shelf().map(({ ruleSet: hash, name }) => [hash, name] as const)}
        />
        <div class="keys">
          <button type="submit" class="key" disabled={red() === "" || blue() === "" || red() === blue()}>
            <span>Call bout</span>
          </button>
          <button
            type="button"
            class="key main"
            disabled={next() === undefined}
            onClick={() => {
              const planned = next();
              if (planned !== undefined) void callBout(planned.bout, planned.ring);
            }}
          >
            <span>Call next</span>
          </button>
        </div>
      </form>
    </section>
  );
}
