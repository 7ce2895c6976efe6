/** The fencer's page goes live: patches the finished HTML, runs the clock, sends choices and questions. */
import "./fencer.css";
import type { BoutCommand, Fact } from "../../../engine/index.ts";
import type { FencerView } from "../../wire/views.ts";
import { fencerParts } from "../paint/fencer.ts";
import { openLink } from "../shared/link.ts";
import { changed, everySecond, letTypeIn, livePage } from "../shared/live.ts";

const place = document.querySelector<HTMLElement>("#page");
if (place) start(place);

function start(root: HTMLElement): void {
  const page = livePage(root);
  let view: FencerView | undefined;
  let latest: string | undefined;

  const paint = (): void => {
    if (view) page.paint(fencerParts(view, { now: link.now(), ...(latest !== undefined && { latest }) }));
  };

  const link = openLink<FencerView>({
    view(now, before) {
      const fresh = changed(now.bout, before?.bout);
      view = now;
      page.stands(now.standing);
      if (now.bout?.id !== before?.bout?.id) latest = undefined;
      // What changed last is the news, even if it is an older exchange that was put right.
      latest = fresh.at(-1) ?? latest;
      document.title = now.bout ? `${now.name}, bout ${now.bout.no}` : now.name;
      paint();
      page.mark(new Set(fresh));
      letTypeIn();
    },
    state(state, since) {
      page.enable(state === "linked");
      page.say(state, since);
    },
  });

  everySecond(() => {
    if (view?.bout?.clock.running && link.state !== "gone") paint();
  });

  root.addEventListener("submit", (event) => {
    event.preventDefault();
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || !view?.bout || !view.side) return;
    const command = commandOf(form, view.side);
    if (command) void answer(form, link.command({ bout: view.bout.id }, command));
  });
}

const entry = (form: HTMLFormElement, name: string): string => String(new FormData(form).get(name) ?? "");

function commandOf(form: HTMLFormElement, side: "red" | "blue"): BoutCommand | undefined {
  const pick = form.dataset["pick"];
  if (pick !== undefined) return { type: "SetPick", pick, side, value: entry(form, "value") };
  const { exchange = "", facts } = form.dataset;
  if ("call" in form.dataset && facts !== undefined)
    return { type: "GiveFacts", exchange, facts: JSON.parse(facts) as readonly Fact[] };
  if ("agree" in form.dataset) return { type: "ConfirmResult", side };
  if ("question" in form.dataset)
    return { type: "QuestionExchange", exchange: entry(form, "exchange"), side, why: entry(form, "why") };
  return undefined;
}

/** Says under the form what came of it. */
async function answer(
  form: HTMLFormElement,
  sent: ReturnType<ReturnType<typeof openLink>["command"]>,
): Promise<void> {
  const said = form.querySelector("[role=status]") ?? form.appendChild(document.createElement("p"));
  said.setAttribute("role", "status");
  said.className = "quiet-line";
  said.textContent = "Sending…";
  const answered = await sent;
  said.textContent = answered.ok ? "The hall has it." : answered.refusal.sentence;
  if (answered.ok && "question" in form.dataset) form.reset();
}
