/** Values from outside: what is due and when, draws by chance, cards, and sealed choices that the table takes for a fencer. */
import { createSignal, For, Show, type JSX } from "solid-js";
import { isByChance, picksDue, type Bout, type PickDue, type Side } from "../../../engine/index.ts";
import type { Pick, RuleSet } from "../../../rules/index.ts";
import { capital } from "../paint/clock.ts";
import { SIDE_NAMES } from "../paint/telling.ts";
import type { Station } from "./station.ts";

interface Props {
  readonly station: Station;
  readonly bout: Bout;
  readonly ruleSet: RuleSet;
  readonly now: number;
}

const titleOf = (pick: Pick, side: Side | undefined): string =>
  side === undefined ? capital(pick.name) : `${SIDE_NAMES[side]}'s ${pick.name}`;

/** The value that holds now, where this screen may know it. */
function heldValue({ bout }: Props, pick: Pick, side: Side | undefined): string | undefined {
  if (pick.seenBy !== undefined && pick.seenBy !== "the table") return undefined;
  return bout.picks.findLast((each) => each.pick === pick.name && each.side === side)?.value;
}

function Choose(props: Props & { readonly pick: Pick; readonly side: Side | undefined }): JSX.Element {
  const hand = (): boolean => isByChance(props.pick);
  const choose = (value: string): void => {
    props.station.give({
      type: "SetPick",
      pick: props.pick.name,
      value,
      ...(props.side === undefined ? {} : { side: props.side }),
      ...(hand() ? { drawn: "by hand" as const } : {}),
    });
  };
  return (
    <label class="field">
      {hand() ? "Drawn by hand, from cards on the table" : titleOf(props.pick, props.side)}
      <select
        onChange={(event) => {
          const { value } = event.currentTarget;
          if (value !== "") choose(value);
          // A sealed choice does not stay on the screen.
          if (props.pick.seenBy !== undefined || hand()) event.currentTarget.value = "";
        }}
      >
        <option value="">choose</option>
        <For each={props.pick.from}>{(value) => <option value={value.text}>{value.text}</option>}</For>
      </select>
    </label>
  );
}

function Drawing(
  props: Props & { readonly pick: Pick; readonly side: Side | undefined; readonly due: PickDue },
): JSX.Element {
  const [byHand, setByHand] = createSignal(false);
  return (
    <>
      <div class="draw">
        <button
          type="button"
          class="key"
          disabled={props.due.due !== "now"}
          onClick={() => props.station.draw(props.pick, props.side)}
        >
          <span>Draw {titleOf(props.pick, props.side).replace(/^./, (letter) => letter.toLowerCase())}</span>
        </button>
        <button type="button" class="key" aria-expanded={byHand()} onClick={() => setByHand(!byHand())}>
          <span>By hand</span>
        </button>
      </div>
      <Show when={byHand()}>
        <Choose {...props} />
      </Show>
    </>
  );
}

/** What somebody has to say now, and what the list says: one line while they fence, nothing where nothing is due. */
export function DueLine(props: Omit<Props, "station"> & { readonly onOpen: () => void }): JSX.Element {
  const told = (): readonly PickDue[] =>
    picksDue(props.bout, props.ruleSet, props.now).filter(({ pick, due }) => {
      const own = props.ruleSet.picks.find(({ name }) => name === pick)?.by === "each fencer";
      // A fencer's own choice is made in the fencer's own seat.
      return due === "listed" || (due === "now" && !own);
    });
  return (
    <Show when={told().length > 0 && props.bout.stage !== "ended"}>
      <div class="due-line">
        <p>
          {told()
            .map(({ sentence }) => sentence)
            .join(" ")}
        </p>
        <Show when={told().some(({ due }) => due === "now")}>
          <button type="button" class="key" onClick={() => props.onOpen()}>
            <span>Choices and cards</span>
          </button>
        </Show>
      </div>
    </Show>
  );
}

export function ChoicesSheet(props: Props): JSX.Element {
  const pickOf = (due: PickDue): Pick | undefined =>
    props.ruleSet.picks.find(({ name }) => name === due.pick);
  const shownSeed = () => props.bout.chance?.seeds.findLast(({ seed }) => seed !== undefined)?.seed;
  const commitment = () => props.bout.chance?.seeds.at(-1)?.commitment;
  return (
    <div class="choices">
      {/* By place and not by object: the sentences change with the clock, the fields stay as they are. */}
      <For each={picksDue(props.bout, props.ruleSet, props.now).map((_, at) => at)}>
        {(at) => {
          const due = (): PickDue | undefined => picksDue(props.bout, props.ruleSet, props.now)[at];
          return (
            <Show when={due() && pickOf(due() as PickDue)}>
              {(pick) => (
                <section aria-label={titleOf(pick(), due()?.side)}>
                  <p classList={{ "is-due": due()?.due === "now" }}>
                    {due()?.sentence}
                    <Show when={heldValue(props, pick(), due()?.side)}>
                      {(value) => <b class="held"> {value()}</b>}
                    </Show>
                  </p>
                  <Show when={pick().by !== "the list"}>
                    <Show
                      when={isByChance(pick())}
                      fallback={<Choose {...props} pick={pick()} side={due()?.side} />}
                    >
                      <Drawing {...props} pick={pick()} side={due()?.side} due={due() as PickDue} />
                    </Show>
                  </Show>
                </section>
              )}
            </Show>
          );
        }}
      </For>
      <Show when={commitment()}>
        {(text) => (
          <details class="seed">
            <summary>How chance is drawn here</summary>
            <p class="muted">
              The server fixed its seed before the bout and shows it when the bout has ended; every draw
              follows from it. SHA-256 of the seed: <code>{text()}</code>
              <Show when={shownSeed()}>
                {(seed) => (
                  <>
                    {" "}
                    The seed: <code>{seed()}</code>
                  </>
                )}
              </Show>
            </p>
          </details>
        )}
      </Show>
    </div>
  );
}
