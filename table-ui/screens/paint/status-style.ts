/** Every state of the coach's status, for /style. */
import type { TroubleTold } from "../../wire/status-words.ts";
import { html, type Markup } from "./markup.ts";
import { ringCard, summaryLine, troubleCard } from "./status.ts";

const TROUBLES: readonly TroubleTold[] = [
  {
    id: "table r2",
    grave: true,
    what: "Ring 2's tablet has not been heard for 3 minutes.",
    cure: "Look whether it sleeps, is out of power or has left the Wi-Fi. It keeps what is scored on it, and sends it when it is back.",
  },
  {
    id: "slow",
    grave: false,
    what: "Screens follow as late as 3.2 s after a press.",
    cure: "Bring the router nearer to the rings, and take devices off the Wi-Fi that nobody needs. What is scored is safe.",
  },
];

/** The status in every state. */
export const statusStates = (): Markup =>
  html`<div class="status">
    ${summaryLine("Everything is recorded. Last write 3 s ago.", "well")}
    <p class="pace">Screens follow within 0.2 s.</p>
    ${summaryLine("Everything is recorded. Last write just now.", "troubled")}
    ${summaryLine("Nothing is recorded just now.", "fault")}
    <ul class="troubles">
      ${TROUBLES.map(troubleCard)}
    </ul>
    <ul class="ring-statuses">
      ${[
        ringCard({
          name: "Ring 1",
          rows: [
            ["Table", "connected"],
            ["Pen", "held"],
            ["Presses that wait", "none"],
            ["Judges", "2 of 2 connected"],
          ],
        }),
        ringCard({
          name: "Ring 2",
          rows: [
            ["Table", "not heard for 3 minutes"],
            ["Pen", "held"],
            ["Presses that wait", "4 when it was last heard, the first for 3 minutes"],
            ["Judges", "1 of 2 connected"],
          ],
        }),
      ]}
    </ul>
  </div>`;
