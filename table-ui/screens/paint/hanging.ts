/** After the bout: the thread hangs down the page, a knot an exchange, one glyph and one sentence an award. */
import type { Side } from "../../../engine/index.ts";
import type { BoutOnView, ExchangeOnView } from "../../wire/views.ts";
import { html, type Markup } from "./markup.ts";
import { exchangesOf, markOf, type Mark } from "./marks.ts";
import {
  beadTag,
  doubleGlyph,
  GLYPH,
  leafGlyph,
  nothingGlyph,
  penaltyGlyph,
  pointsTag,
  slipGlyph,
  stitchGlyph,
} from "./parts.ts";
import { numeral } from "./shapes.ts";
import { SIDE_NAMES } from "./telling.ts";

const line = (glyph: Markup, said: string, sentence: string, look = ""): Markup =>
  html`<p${look && html` class="${look}"`}>${glyph}<span>${said && html`<span class="vh">${said}: </span>`}${sentence}</span></p>`;

function touch(mark: Mark, side: Side): Markup | undefined {
  const { points, openPoints } = mark[side];
  if (points > 0) return beadTag(side, points, GLYPH);
  if (openPoints > 0) return beadTag(side, openPoints, GLYPH, "open");
  return points < 0 ? pointsTag(points, GLYPH) : undefined;
}

/** "Teo B.: warning." */
export function penaltySaid(bout: BoutOnView, given: NonNullable<ExchangeOnView["penalty"]>): string {
  const { you, name } = bout[given.side];
  return `${you ? "You" : name}: ${given.penalty}.`;
}

/** The glyph beside what happened: the rings of a double, else the touch, else an upright tick. */
function mainGlyph(mark: Mark): readonly [Markup, string] {
  if (mark.knot === "sealed") return [slipGlyph(), "Sealed"];
  if (mark.knot === "double") return [doubleGlyph(), "Double"];
  for (const side of ["red", "blue"] as const) {
    const glyph = touch(mark, side);
    if (glyph) {
      const { points, openPoints } = mark[side];
      return [glyph, `${SIDE_NAMES[side]} ${numeral(points || openPoints)}${points ? "" : " open"}`];
    }
  }
  return [nothingGlyph(), ""];
}

function lines(bout: BoutOnView, exchange: ExchangeOnView): readonly Markup[] {
  const mark = markOf(exchange);
  const [glyph, said] = mainGlyph(mark);
  const all = [line(glyph, said, exchange.sentence)];
  // The first fencer's touch stands beside the exchange's own sentence; a second one has its own line.
  const first =
    mark.knot === "double" ? undefined : (["red", "blue"] as const).find((side) => touch(mark, side));
  for (const award of exchange.awards) {
    if (award.unit === "points" && award.to === first) continue;
    const open = award.open !== undefined;
    const amount = award.open ?? award.amount;
    const drawn =
      award.unit === "bonus"
        ? leafGlyph(amount, open ? "open" : "settled")
        : amount > 0
          ? beadTag(award.to, amount, GLYPH, open ? "open" : "settled")
          : pointsTag(amount, GLYPH);
    all.push(
      line(
        drawn,
        `${numeral(amount)} ${award.unit} to ${SIDE_NAMES[award.to]}${open ? ", open" : ""}`,
        award.sentence,
      ),
    );
  }
  if (exchange.penalty)
    all.push(line(penaltyGlyph(exchange.penalty.penalty), "", penaltySaid(bout, exchange.penalty)));
  if (exchange.putRight !== undefined) all.push(line(stitchGlyph(), "", exchange.putRight, "fix"));
  if (exchange.afterTheEnd)
    all.push(
      line(html`<span></span>`, "", "Fenced after the end: it counts only if the referee says so.", "fix"),
    );
  return all;
}

/** An ordered list, because the thread runs one way. */
export const hanging = (bout: BoutOnView): Markup =>
  html`<h2 class="vh">Exchange by exchange</h2>
    <ol class="hang">
      ${exchangesOf(bout).map(
        (exchange) =>
          html`<li data-x="${exchange.id}">
            <span class="no"><span class="vh">Exchange </span>${exchange.no}</span>
            <div>${lines(bout, exchange)}</div>
          </li>`,
      )}
    </ol>`;
