/** The coach's status, part by part: what is wrong first, then every ring, every kind of screen, the server. */
import {
  pace,
  ringTold,
  screensTold,
  serverTold,
  summary,
  troublesIn,
  type Looked,
  type RingTold,
  type TroubleTold,
} from "../../wire/status-words.ts";
import type { RingStatus } from "../../wire/view-status.ts";
import { html, type Markup } from "./markup.ts";

/** well: nothing is to be done; fault: nothing is recorded, or nobody knows. */
export type Mood = "well" | "troubled" | "fault";

/** The one sentence that the coach reads first. */
export const summaryLine = (sentence: string, mood: Mood): Markup =>
  html`<p class="summary ${mood}">${sentence}</p>`;

function moodOf({ standing, away }: Looked, troubles: readonly TroubleTold[]): Mood {
  if (standing !== undefined || away !== undefined) return "fault";
  return troubles.length === 0 ? "well" : "troubled";
}

/** A trouble: how urgent, what it is, what to do. The word says what the colour says. */
export const troubleCard = ({ grave, what, cure }: TroubleTold): Markup =>
  html`<li class="trouble${grave && " grave"}">
    <p class="urgency">${grave ? "Act now" : "Have a look"}</p>
    <p class="what">${what}</p>
    <p>${cure}</p>
  </li>`;

const rowsOf = (rows: RingTold["rows"]): Markup =>
  html`<dl>
    ${rows.map(
      ([what, how]) =>
        html`<div>
          <dt>${what}</dt>
          <dd>${how}</dd>
        </div>`,
    )}
  </dl>`;

/** A ring and its devices. */
export const ringCard = ({ name, rows }: RingTold): Markup =>
  html`<li class="ring-status">
    <h3>${name}</h3>
    ${rowsOf(rows)}
  </li>`;

/** The parts of the page by name; a part is painted anew only where its markup differs. */
export function statusParts(
  looked: Looked,
): Readonly<Record<"first" | "rings" | "screens" | "server", Markup>> {
  const { status, now } = looked;
  const troubles = troublesIn(looked);
  const rings = Object.values(status.rings);
  return {
    first: html`${summaryLine(summary(looked), moodOf(looked, troubles))}
      <p class="pace">${pace(status)}</p>
      ${
        troubles.length > 0 &&
        html`<h2>What to look at</h2>
          <ul class="troubles">
            ${troubles.map(troubleCard)}
          </ul>`
      }`,
    rings: html`<h2>Rings</h2>
      ${
        rings.length === 0
          ? html`<p class="muted">No ring has been added yet.</p>`
          : html`<ul class="ring-statuses">
              ${rings.map((ring: RingStatus) => ringCard(ringTold(ring, now)))}
            </ul>`
      }`,
    screens: html`<h2>Screens connected</h2>
      ${rowsOf(screensTold(status))}`,
    server: html`<h2>The server</h2>
      ${rowsOf(serverTold(status, now))}`,
  };
}

/** How many troubles there are, for whoever hears the page: it changes only when they do. */
export function troubleCount(looked: Looked): string {
  const count = troublesIn(looked).length;
  if (count === 0) return "All is well.";
  return count === 1 ? "One thing to look at." : `${count} things to look at.`;
}
