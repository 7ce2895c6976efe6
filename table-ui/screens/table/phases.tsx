/** Before the first "Fence!" and after the end: what stands where the keys stand during the bout. */
import { For, Show, type JSX } from "solid-js";
import { canBout, type Bout, type BoutCommand } from "../../../engine/index.ts";
import type { BoutOnView, TableView } from "../../wire/views.ts";
import { payTag } from "../paint/parts.ts";
import { Cap } from "./parts.tsx";

type Give = (command: BoutCommand) => boolean;

/** The usual cautions; common practice, no source. */
const GEAR = [
  "Mask and back of head: sound, fastened, no dents",
  "Throat: gorget under the bib",
  "Hands: gloves fit the weapon, no open fingers",
  "Groin and chest protection",
  "Elbows, knees, shins",
  "Blades: tips covered, no burrs, no cracks, no set bend",
];

export function Before(props: {
  readonly bout: Bout;
  readonly seen: BoutOnView;
  readonly give: Give;
  readonly cap: string;
  readonly onChoices?: (() => void) | undefined;
}): JSX.Element {
  const step = (): { readonly label: string; readonly command: BoutCommand } =>
    props.bout.stage === "called"
      ? { label: "Gear is checked", command: { type: "ConfirmCheck" } }
      : props.bout.stage === "checked"
        ? { label: "Fencers on guard", command: { type: "ComeOnGuard" } }
        : { label: "Fence", command: { type: "StartFencing" } };
  return (
    <section class="phase before">
      <div>
        <Show
          when={props.bout.stage === "called"}
          fallback={
            <>
              <h2>What pays</h2>
              <ul class="pays">
                <For each={props.seen.pays}>
                  {(pay) => (
                    <li>
                      <span innerHTML={payTag(pay, 34).markup} />
                      <span>{pay.short}</span>
                    </li>
                  )}
                </For>
              </ul>
              <p class="muted">{props.seen.bonusMeans}</p>
            </>
          }
        >
          <h2>Check the gear of both</h2>
          <ul class="gear">
            <For each={GEAR}>{(line) => <li>{line}</li>}</For>
          </ul>
          <p class="muted">
            This list reminds; it certifies nothing. Your club's and your country's rules come first. The
            referee decides.
          </p>
        </Show>
      </div>
      <div class="steps">
        <Show when={props.onChoices}>
          {(open) => (
            <button type="button" class="key" onClick={() => open()()}>
              <span>Choices and cards</span>
            </button>
          )}
        </Show>
        <button type="button" class="key main" onClick={() => props.give(step().command)}>
          <span>{step().label}</span>
          <Cap text={props.cap} />
        </button>
      </div>
    </section>
  );
}

export function After(props: {
  readonly bout: Bout;
  readonly seen: BoutOnView;
  readonly view: TableView;
  readonly give: Give;
}): JSX.Element {
  const confirmed = () => props.bout.confirmed.length === 2;
  return (
    <section class="phase after">
      <div>
        <h2>{props.seen.endingSentence ?? "The bout is over."}</h2>
        <p>{props.seen.bonusMeans}</p>
        <Show when={props.bout.changedAfterConfirming}>
          <p class="muted">The result was changed after it had been confirmed.</p>
        </Show>
        <Show when={props.view.next}>
          {(next) => (
            <p class="muted">
              Next on this ring: {next().red} and {next().blue}. The coach calls them.
            </p>
          )}
        </Show>
      </div>
      <div class="steps">
        <Show when={canBout(props.bout, "Reopen")}>
          <button
            type="button"
            class="key"
            onClick={() => props.give({ type: "Reopen", why: "not over yet" })}
          >
            <span>Go on fencing</span>
          </button>
        </Show>
        <button
          type="button"
          class="key main"
          disabled={confirmed()}
          onClick={() => props.give({ type: "ConfirmResult" })}
        >
          <span>{confirmed() ? "Both fencers have confirmed" : "Both fencers confirm"}</span>
        </button>
      </div>
    </section>
  );
}
