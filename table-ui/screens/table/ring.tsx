/** The ring at the table: the thread, the pad, the sheets, and the keyboard that works them all. */
import { createSignal, Match, onCleanup, Show, Switch, type JSX } from "solid-js";
import { canBout, clockAt, type Bout } from "../../../engine/index.ts";
import type { BoutOnView, TableView } from "../../wire/views.ts";
import { ChoicesSheet, DueLine } from "./choices.tsx";
import { createEntering } from "./entering.ts";
import { actionOf, capOf, codeOf, LAYOUT, type Layout, type TableAction } from "./keys.ts";
import { Mending, More } from "./mending.tsx";
import { Pad } from "./pad.tsx";
import { Around, Cap, Exchanges, Staff } from "./parts.tsx";
import { After, Before } from "./phases.tsx";
import { ClockSheet, ForfeitSheet, KeysSheet, PenaltySheet, Sheet, type SheetName } from "./sheets.tsx";
import type { Station } from "./station.ts";
import { createTray, Tray } from "./tray.tsx";

// What scores comes with the ring: the page that waits for the hall does without.
export { compile } from "../../../rules/index.ts";
export { seenAtTable } from "./seen.ts";

const BEFORE = ["called", "checked"] as const;
const isBefore = (bout: Bout): boolean =>
  BEFORE.some((stage) => stage === bout.stage) || (bout.stage === "on guard" && bout.exchanges.length === 0);

const narrow = matchMedia("(max-width: 760px)");

export function Ring(props: {
  readonly station: Station;
  readonly view: TableView;
  readonly bout: Bout;
  readonly seen: BoutOnView;
  readonly now: number;
}): JSX.Element {
  const { station } = props;
  const give = station.give;
  const entering = createEntering(station);
  const tray = createTray(station.bout, give);
  const [sheet, setSheet] = createSignal<SheetName>();
  const [small, setSmall] = createSignal(narrow.matches);
  const [keysOn, setKeysOn] = createSignal(localStorage.getItem("keys") !== "off");
  const [layout, setLayout] = createSignal<Layout>(storedLayout());
  const [learnt, setLearnt] = createSignal<Readonly<Record<string, string>>>({});
  const resized = (): void => void setSmall(narrow.matches);
  narrow.addEventListener("change", resized);

  const close = (): void => void setSheet(undefined);
  const cap = (action: TableAction): string => (keysOn() ? capOf(codeOf(layout(), action), learnt()) : "");
  const fencing = () => props.bout.stage === "fencing";
  const paused = () => props.bout.stage === "paused";
  const clock = (): void =>
    void give(paused() ? { type: "Resume" } : fencing() ? { type: "CallHalt" } : { type: "StartFencing" });
  const clockDoes = () => (paused() ? "Go on" : fencing() ? "Halt" : "Fence");

  const over = () => props.bout.tally.ended !== null && canBout(props.bout, "EndBout");
  const ends = () => over() && entering.presses().length === 0 && entering.target().is === "new";
  const mainLabel = () => {
    const { is } = entering.target();
    if (is === "change") return `Put exchange ${entering.no()} right`;
    if (is === "insert") return `Insert exchange ${entering.no()}`;
    return ends() ? `End the bout: ${props.bout.tally.ended}` : `Record exchange ${entering.no()}`;
  };
  const main = (): void => {
    if (ends()) give({ type: "EndBout" });
    else entering.record();
  };
  const undo = (): void => {
    if (entering.presses().length > 0) entering.clear();
    else if (entering.target().is !== "new") entering.aim({ is: "new" });
    else give({ type: "Undo" });
  };
  const stop = (): void => void give({ type: "Stop", why: "The table stopped the bout." });
  const pick = (exchange: string): void => {
    const no = props.seen.exchanges[exchange]?.no;
    if (no !== undefined) entering.aim({ is: "change", exchange, no });
  };

  const act = (action: TableAction): void => {
    const plan = entering.plan();
    switch (action.is) {
      case "hit":
        return pressed(plan?.hits[action.side][action.index]?.id);
      case "neither":
        return pressed(plan?.neither[action.index]?.id);
      case "chip":
        return pressed(entering.chips()[action.index]?.id);
      case "clock":
        return clock();
      case "record":
        if (isBefore(props.bout))
          return void document.querySelector<HTMLButtonElement>(".before .main")?.click();
        return main();
      case "undo":
        return undo();
      case "penalty":
        return void setSheet("penalty");
      case "stop":
        return stop();
      case "yes":
        return tray.answer(0);
      case "no":
        return tray.answer(1);
      case "later":
        return tray.later();
      case "pause":
        return void setSheet("more");
    }
  };
  const pressed = (id: string | undefined): void => {
    if (id !== undefined && props.bout.stage !== "ended" && !isBefore(props.bout)) entering.press(id);
  };

  const onKey = (event: KeyboardEvent): void => {
    if (event.key.length === 1) setLearnt({ ...learnt(), [event.code]: event.key.toUpperCase() });
    if (!keysOn()) return;
    const on = event.target instanceof Element ? event.target : document.body;
    const action = actionOf(layout(), {
      code: event.code,
      modified: event.ctrlKey || event.altKey || event.metaKey || event.shiftKey,
      repeat: event.repeat,
      typing: on.matches("input, select, textarea"),
      onControl: on.matches("button:focus-visible, summary:focus-visible, a:focus-visible"),
      inDialog: on.closest("dialog") !== null || sheet() !== undefined,
    });
    if (action === undefined) return;
    event.preventDefault();
    act(action);
  };
  addEventListener("keydown", onKey);
  onCleanup(() => {
    removeEventListener("keydown", onKey);
    narrow.removeEventListener("change", resized);
  });

  const picks = () => station.rules()?.ruleSet.picks ?? [];
  return (
    <>
      <Staff
        bout={props.seen}
        now={props.now}
        draft={entering.mark()}
        no={entering.no()}
        narrow={small()}
        onPick={pick}
        onClock={clock}
        clockDoes={clockDoes()}
        cap={cap({ is: "clock" })}
      />
      <Around bout={props.seen} />
      <Show when={station.rules()}>
        {(rules) => (
          <DueLine
            bout={props.bout}
            ruleSet={rules().ruleSet}
            now={props.now}
            onOpen={() => setSheet("choices")}
          />
        )}
      </Show>
      <p class="say" aria-live="polite">
        <small>Say aloud</small>
        <span class="voice">{entering.say() || "Nothing yet."}</span>
      </p>
      <Show when={entering.target().is !== "new"}>
        <Mending entering={entering} give={give} seen={props.seen} />
      </Show>
      <Switch
        fallback={
          <Pad
            entering={entering}
            cap={cap}
            onMain={main}
            mainLabel={mainLabel()}
            mainDoes={entering.ready() || ends()}
          />
        }
      >
        <Match when={isBefore(props.bout)}>
          <Before
            bout={props.bout}
            seen={props.seen}
            give={give}
            cap={cap({ is: "record" })}
            {...(picks().length > 0 ? { onChoices: () => setSheet("choices") } : {})}
          />
        </Match>
        <Match when={props.bout.stage === "ended" && entering.target().is === "new"}>
          <After bout={props.bout} seen={props.seen} view={props.view} give={give} />
        </Match>
      </Switch>
      <footer class="foot">
        <button type="button" class="key undo" onClick={undo}>
          <span>Undo</span>
          <Cap text={cap({ is: "undo" })} />
        </button>
        <button type="button" class="key penalty" onClick={() => setSheet("penalty")}>
          <span>Penalty</span>
          <Cap text={cap({ is: "penalty" })} />
        </button>
        <button type="button" class="key more" onClick={() => setSheet("more")}>
          <span>More</span>
          <Cap text={cap({ is: "pause" })} />
        </button>
        <Show when={!small()}>
          <Tray tray={tray} cap={(is) => cap({ is })} />
        </Show>
        <button type="button" class="key stop" onClick={stop}>
          <svg width="34" height="34" viewBox="0 0 34 34" aria-hidden="true">
            <path d="M11 2h12l9 9v12l-9 9H11l-9-9V11z" fill="none" stroke="currentColor" stroke-width="2.5" />
            <path d="M11 17h12" stroke="currentColor" stroke-width="4" />
          </svg>
          <span>Stop</span>
          <Cap text={cap({ is: "stop" })} />
        </button>
      </footer>
      {/* On a phone Stop comes before any question. */}
      <Show when={small()}>
        <Tray tray={tray} cap={(is) => cap({ is })} />
      </Show>
      <Exchanges bout={props.seen} onPick={pick} />

      <Sheet open={sheet() === "penalty"} title="Penalty" onClose={close}>
        <PenaltySheet give={give} done={close} />
      </Sheet>
      <Sheet open={sheet() === "more"} title="More" onClose={close}>
        <More bout={props.bout} give={give} open={setSheet} close={close} hasPicks={picks().length > 0} />
      </Sheet>
      <Sheet open={sheet() === "clock"} title="Set the clock" onClose={close}>
        <ClockSheet give={give} ms={clockAt(props.bout.clock, station.now())} done={close} />
      </Sheet>
      <Sheet open={sheet() === "forfeit"} title="Who withdraws?" onClose={close}>
        <ForfeitSheet give={give} done={close} />
      </Sheet>
      <Sheet open={sheet() === "choices"} title="Choices and cards" onClose={close}>
        <Show when={station.rules()}>
          {(rules) => (
            <ChoicesSheet station={station} bout={props.bout} ruleSet={rules().ruleSet} now={props.now} />
          )}
        </Show>
      </Sheet>
      <Sheet open={sheet() === "keys"} title="Keys" onClose={close}>
        <KeysSheet
          on={keysOn()}
          layout={layout()}
          learnt={learnt()}
          onSwitch={(on) => {
            localStorage.setItem("keys", on ? "on" : "off");
            setKeysOn(on);
          }}
          onLayout={(next) => {
            localStorage.setItem("layout", JSON.stringify(next));
            setLayout(next);
          }}
        />
      </Sheet>
    </>
  );
}

/** Keys that were moved on this device; anything unreadable is as it was at first. */
function storedLayout(): Layout {
  try {
    const stored: unknown = JSON.parse(localStorage.getItem("layout") ?? "null");
    return typeof stored === "object" && stored !== null ? (stored as Layout) : LAYOUT;
  } catch {
    return LAYOUT;
  }
}
