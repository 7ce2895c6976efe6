/** The question tray: what is still open, one question at a time. It can wait; nothing stops for it. */
import { createSignal, For, Show, type JSX } from "solid-js";
import type { Bout, BoutCommand } from "../../../engine/index.ts";
import type { Question } from "../../../rules/index.ts";
import { leafTag, pointsTag } from "../paint/parts.ts";
import { Cap } from "./parts.tsx";

export interface TrayState {
  readonly question: () => Question | undefined;
  readonly count: () => number;
  later(): void;
  answer(index: number): void;
}

export function createTray(bout: () => Bout | undefined, give: (command: BoutCommand) => boolean): TrayState {
  const [at, setAt] = createSignal(0);
  const open = () => bout()?.tally.questions ?? [];
  const question = () => open()[at() % Math.max(1, open().length)];
  return {
    question,
    count: () => open().length,
    later: () => setAt((before) => before + 1),
    answer(index) {
      const asked = question();
      const chosen = asked?.answers[index];
      const exchange = asked === undefined ? undefined : bout()?.exchanges[asked.exchange - 1]?.id;
      if (chosen === undefined || exchange === undefined) return;
      give({ type: "GiveFacts", exchange, facts: chosen.facts });
    },
  };
}

const ASKED: Readonly<Record<Question["ask"], string>> = {
  table: "You can answer it, now or later.",
  referee: "Ask the referee.",
  judge: "The judges may still answer.",
  red: "Red knows it.",
  blue: "Blue knows it.",
  coach: "Ask the coach.",
};

const CAPS = ["yes", "no"] as const;

export function Tray(props: {
  readonly tray: TrayState;
  readonly cap: (is: "yes" | "no" | "later") => string;
}): JSX.Element {
  return (
    <Show when={props.tray.question()} fallback={<div class="tray none muted">Nothing is open.</div>}>
      {(asked) => (
        <section class="tray open-box" aria-label="Open question">
          <span
            class="lv"
            innerHTML={(() => {
              const stake = asked().stake[0];
              const most = stake?.span.most ?? 0;
              return stake?.unit === "points"
                ? pointsTag(most, 40, true).markup
                : leafTag(most, 44, "open").markup;
            })()}
          />
          <p class="q">
            <b>{asked().text}</b>
            <span class="muted">
              {asked().ask === "table" && asked().answers[0]?.facts[0]?.fact === "pick"
                ? "Draw it under Choices and cards, or press what the card on the table showed."
                : ASKED[asked().ask]}
              {props.tray.count() > 1 ? ` ${props.tray.count()} are open.` : ""}
            </span>
          </p>
          <div class="answers">
            <For each={asked().answers}>
              {(answer, index) => (
                <button type="button" class="key" onClick={() => props.tray.answer(index())}>
                  <span>{answer.label}</span>
                  <Cap text={CAPS[index()] === undefined ? "" : props.cap(CAPS[index()] ?? "yes")} />
                </button>
              )}
            </For>
            <Show when={props.tray.count() > 1}>
              <button type="button" class="key" onClick={() => props.tray.later()}>
                <span>Later</span>
                <Cap text={props.cap("later")} />
              </button>
            </Show>
          </div>
        </section>
      )}
    </Show>
  );
}
