/** The coach's link to the hall: the view, and requests whose refusals become one sentence on the page. */
import { createSignal, type Accessor } from "solid-js";
import type { MeetCommand, BoutCommand } from "../../../engine/index.ts";
import type { CoachAnswer, CoachRequest, Sent } from "../../wire/messages.ts";
import type { CoachView } from "../../wire/views.ts";
import { openLink, type LinkState } from "../shared/link.ts";

export interface CoachHall {
  readonly view: Accessor<CoachView | undefined>;
  readonly link: Accessor<LinkState>;
  /** Server time since when the link is as it is. */
  readonly since: Accessor<number>;
  /** The latest refusal, until something else succeeds. */
  readonly refused: Accessor<string>;
  now(): number;
  command(on: Sent["on"], command: BoutCommand | MeetCommand): Promise<boolean>;
  ask(request: CoachRequest): Promise<CoachAnswer>;
}

export function openCoachHall(): CoachHall {
  const [view, setView] = createSignal<CoachView>();
  const [link, setLink] = createSignal<LinkState>("linking");
  const [since, setSince] = createSignal(0);
  const [refused, setRefused] = createSignal("");
  const socket = openLink<CoachView>({
    view(next) {
      // What was refused for want of room is asked for again by whoever wants it.
      if (view()?.standing !== undefined && next.standing === undefined) setRefused("");
      setView(next);
    },
    state(next, at) {
      setSince(at);
      setLink(next);
    },
  });
  return {
    view,
    link,
    since,
    refused,
    now: () => socket.now(),
    async command(on, command) {
      const answer = await socket.command(on, command);
      setRefused(answer.ok ? "" : answer.refusal.sentence);
      return answer.ok;
    },
    async ask(request) {
      const answer = await socket.ask(request);
      setRefused(answer.ok ? "" : answer.refusal.sentence);
      return answer;
    },
  };
}

/** Ids for planned bouts and new exchanges; made here because the coach's page begins them. */
export { newId } from "../shared/link.ts";
