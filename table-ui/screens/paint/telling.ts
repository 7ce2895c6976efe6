/** The garland in words: for screen readers, and for whoever would rather read. One sentence an exchange. */
import type { Side } from "../../../engine/index.ts";
import type { BoutOnView, ExchangeOnView, FencerOnView } from "../../wire/views.ts";
import { html, type Markup } from "./markup.ts";
import { exchangesOf, markOf, type Voice } from "./marks.ts";
import { numeral } from "./shapes.ts";

export const SIDE_NAMES: Readonly<Record<Side, string>> = { red: "Red", blue: "Blue" };

export const plural = (n: number, one: string, many = `${one}s`): string =>
  `${numeral(n)} ${Math.abs(n) === 1 ? one : many}`;

/** "3 points, 2 bonus, perhaps 1 bonus more"; empty for nothing. */
export function voiceInWords(voice: Voice): string {
  const said: string[] = [];
  if (voice.points !== 0) said.push(plural(voice.points, "point"));
  if (voice.openPoints !== 0) said.push(`perhaps ${plural(voice.openPoints, "point")}`);
  for (const leaf of voice.leaves)
    said.push(
      leaf.state === "open" ? `perhaps ${numeral(leaf.bonus)} bonus` : `${numeral(leaf.bonus)} bonus`,
    );
  return said.join(", ");
}

/** "Exchange 2: Blue 3 points, 2 bonus; Red 1 bonus." The exchange's own sentence is the view's. */
export function exchangeInWords(exchange: ExchangeOnView): string {
  const mark = markOf(exchange);
  const parts = (["red", "blue"] as const)
    .map((side) => [SIDE_NAMES[side], voiceInWords(mark[side])] as const)
    .filter(([, words]) => words !== "")
    .map(([name, words]) => `${name} ${words}`);
  const what = mark.knot === "sealed" ? "sealed" : parts.join("; ") || (exchange.how ?? "nothing");
  return `Exchange ${exchange.no}: ${what}.`;
}

const standing = (name: string, fencer: FencerOnView): string =>
  `${name} ${plural(fencer.points, "point")}` + (fencer.bonus ? ` and ${numeral(fencer.bonus)} bonus` : "");

/** The picture's short name: "The bout so far, 6 exchanges: Red 4 points and 1 bonus, Blue 4 points and 2 bonus." */
export function garlandLabel(bout: BoutOnView): string {
  const when = bout.stage === "ended" ? "The bout" : "The bout so far";
  const count = plural(bout.order.length, "exchange");
  return `${when}, ${count}: ${standing("Red", bout.red)}, ${standing("Blue", bout.blue)}.`;
}

/** Every exchange as a row, out of sight but not of reach. */
export function tellingTable(bout: BoutOnView, caption: string): Markup {
  const rows = exchangesOf(bout).map((exchange) => {
    const mark = markOf(exchange);
    const cell = (side: Side): string =>
      mark.knot === "sealed" ? "sealed" : voiceInWords(mark[side]) || "nothing";
    const notes = [
      exchange.sentence,
      exchange.penalty && `${SIDE_NAMES[exchange.penalty.side]}: ${exchange.penalty.penalty}.`,
      exchange.putRight,
      exchange.afterTheEnd && "After the end.",
    ].filter((note): note is string => typeof note === "string");
    return html`<tr>
      <th scope="row">${exchange.no}</th>
      <td>${cell("red")}</td>
      <td>${cell("blue")}</td>
      <td>${notes.join(" ")}</td>
    </tr>`;
  });
  return html`<div class="vh">
    <table>
      <caption>
        ${caption}
      </caption>
      <thead>
        <tr>
          <th scope="col">Exchange</th>
          <th scope="col">Red</th>
          <th scope="col">Blue</th>
          <th scope="col">What happened</th>
        </tr>
      </thead>
      <tbody>
        ${rows}
      </tbody>
    </table>
  </div>`;
}

/** A relay's totals: "Herons 12, Otters 9"; empty where no team's points count. */
export const teamsInWords = ({ teams }: BoutOnView): string =>
  teams === undefined
    ? ""
    : `${teams.red.team} ${numeral(teams.red.points)}, ${teams.blue.team} ${numeral(teams.blue.points)}`;
