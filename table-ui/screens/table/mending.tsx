/** Putting an exchange right, and what is needed seldom. */
import { Show, type JSX } from "solid-js";
import { canBout, type Bout } from "../../../engine/index.ts";
import type { BoutOnView } from "../../wire/views.ts";
import type { Entering } from "./entering.ts";
import type { SheetName } from "./sheets.tsx";
import type { Station } from "./station.ts";

/** While an exchange is put right: what it said, and what else can be done with it. */
export function Mending(props: {
  readonly entering: Entering;
  readonly give: Station["give"];
  readonly seen: BoutOnView;
}): JSX.Element {
  const exchange = () => {
    const target = props.entering.target();
    return target.is === "change" ? props.seen.exchanges[target.exchange] : undefined;
  };
  const leave = (): void => props.entering.aim({ is: "new" });
  return (
    <section class="mending" aria-label="Put right">
      <p>
        <Show
          when={exchange()}
          fallback={`What happened before exchange ${props.entering.no()}? Press it as usual.`}
        >
          {(old) => (
            <>
              <b>Exchange {old().no}:</b> {old().sentence} Press what it should be.
            </>
          )}
        </Show>
      </p>
      <Show when={exchange()}>
        {(old) => (
          <>
            <button
              type="button"
              class="key"
              onClick={() => {
                props.give({ type: "RemoveExchange", exchange: old().id });
                leave();
              }}
            >
              <span>Remove exchange {old().no}</span>
            </button>
            <button
              type="button"
              class="key"
              onClick={() => props.entering.aim({ is: "insert", after: old().id, no: old().no + 1 })}
            >
              <span>Insert one after it</span>
            </button>
          </>
        )}
      </Show>
      <button type="button" class="key" onClick={leave}>
        <span>Leave it</span>
      </button>
    </section>
  );
}

export function More(props: {
  readonly bout: Bout;
  readonly give: Station["give"];
  readonly open: (sheet: SheetName) => void;
  readonly close: () => void;
  readonly hasPicks: boolean;
}): JSX.Element {
  const entry = (label: string, does: () => void, can = true): JSX.Element => (
    <Show when={can}>
      <button type="button" class="key" onClick={does}>
        <span>{label}</span>
      </button>
    </Show>
  );
  const send = (command: Parameters<Station["give"]>[0]) => (): void => {
    props.give(command);
    props.close();
  };
  const can = (type: Parameters<typeof canBout>[1]): boolean => canBout(props.bout, type);
  return (
    <div class="entries">
      {entry("Pause: injury", send({ type: "Pause", reason: "injury" }), can("Pause"))}
      {entry("Pause: gear", send({ type: "Pause", reason: "gear" }), can("Pause"))}
      {entry("Go on", send({ type: "Resume" }), can("Resume"))}
      {entry("Set the clock", () => props.open("clock"), can("SetClock"))}
      {entry("Choices and cards", () => props.open("choices"), props.hasPicks)}
      {entry("Swap Red and Blue", send({ type: "SwapFencers" }), can("SwapFencers"))}
      {entry("A fencer withdraws", () => props.open("forfeit"), can("Forfeit"))}
      {entry("End the bout by score", send({ type: "EndBout" }), can("EndBout"))}
      {entry("Red wins by the referee's word", send({ type: "EndBout", ending: "red wins" }), can("EndBout"))}
      {entry(
        "Blue wins by the referee's word",
        send({ type: "EndBout", ending: "blue wins" }),
        can("EndBout"),
      )}
      {entry("Keys", () => props.open("keys"))}
    </div>
  );
}
