/** Small finished pieces that every screen shares: badges, tags, the spool clock, keys. SVG and HTML as strings. */
import type { Penalty, Side } from "../../../engine/index.ts";
import type { FencerOnView, PayLine } from "../../wire/views.ts";
import { html, raw, type Markup } from "./markup.ts";
import type { Mark } from "./marks.ts";
import { exchangeAt } from "./garland.ts";
import {
  bead,
  f,
  leaf,
  lozenge,
  numeral,
  rings,
  slip,
  square,
  stem,
  stitch,
  thread,
  type State,
} from "./shapes.ts";
import { SIDE_NAMES } from "./telling.ts";

const svg = (width: number, height: number, look: string, name: string, drawn: string): Markup =>
  raw(
    `<svg class="${look}" viewBox="0 0 ${f(width)} ${f(height)}" width="${f(width)}" height="${f(height)}" ` +
      (name ? `role="img" aria-label="${name}"` : `aria-hidden="true"`) +
      `>${drawn}</svg>`,
  );

/** The side's shape and letter: a disc with R, a lozenge with B. `named` only where no word beside it says the side. */
export function badge(side: Side, size: number, named = true): Markup {
  const c = size / 2;
  const letter = (look: string, scale: number): string =>
    `<text x="${f(c)}" y="${f(c + size * scale * 0.35)}" class="${look}" font-size="${f(size * scale)}">${side === "red" ? "R" : "B"}</text>`;
  const drawn =
    side === "red"
      ? `<circle cx="${f(c)}" cy="${f(c)}" r="${f(c * 0.92)}" class="g-red"/>${letter("badge-tr", 0.6)}`
      : `<path d="${lozenge(c, c, c * 0.82)}" class="g-blue"/>` +
        (size > 22
          ? `<path d="${lozenge(c, c, c * 0.69)}" class="g-bluein" stroke-width="${f(Math.max(1, size * 0.025))}"/>`
          : "") +
        letter("badge-tb", 0.52);
  return svg(size, size, "badge", named ? SIDE_NAMES[side] : "", drawn);
}

/** A leaf of its own, `size` high. Give it a name unless words stand beside it. */
export function leafTag(bonus: number, size: number, state: State = "settled", name = ""): Markup {
  return svg(
    size * 0.92,
    size,
    "leaftag",
    name,
    leaf(size * 0.42, size * 0.99, size / 3.1, "red", bonus, state, 8),
  );
}

/** A touch of its own, `size` wide for the largest usual touch. */
export function beadTag(side: Side, points: number, size: number, state: State = "settled"): Markup {
  const c = size / 2;
  const u = Math.min(size / 3.9, c / 1.25 / Math.sqrt(points));
  return svg(size, size, "beadtag", "", bead(side, c, c, u, points, state));
}

/** Points that a rule pays, or that are still open: never a leaf, and of no side. */
export function pointsTag(points: number, size: number, open = false): Markup {
  const c = size / 2;
  const text = points > 0 ? `+${numeral(points)}` : numeral(points);
  return svg(
    size,
    size,
    "pointstag",
    "",
    `<rect x="1" y="${f(size * 0.14)}" width="${f(size - 2)}" height="${f(size * 0.72)}" rx="4" class="g-tag"${open ? ' stroke-dasharray="4 3"' : ""}/>` +
      `<text x="${f(c)}" y="${f(c + size * 0.17)}" class="g-ntag" font-size="${f(size * 0.46)}">${text}</text>`,
  );
}

export const payTag = (pay: Pick<PayLine, "amount" | "unit">, size: number): Markup =>
  pay.unit === "bonus" ? leafTag(pay.amount, size) : pointsTag(pay.amount, size);

/** One exchange on a short piece of thread. */
export function knotTag(mark: Mark, width: number, height: number, u: number): Markup {
  const y = height / 2;
  const drawn = thread(`M1 ${f(y)}H${f(width - 1)}`, Math.max(1.6, u * 0.24));
  return svg(width, height, "knottag", "", drawn + exchangeAt(mark, width / 2, y, u, width));
}

/** The glyphs that the hanging thread puts beside its sentences. */
export const GLYPH = 34;
const glyph = (drawn: string): Markup => svg(GLYPH, GLYPH, "glyph", "", drawn);
const MIDDLE = GLYPH / 2;
export const doubleGlyph = (): Markup => glyph(rings(MIDDLE, MIDDLE, 7.4));
export const nothingGlyph = (): Markup => glyph(stem(MIDDLE, 9, 25, 2.6));
export const stitchGlyph = (): Markup => glyph(stitch(MIDDLE, MIDDLE, 13));
export const slipGlyph = (): Markup => glyph(slip(MIDDLE, MIDDLE, 11));
export const penaltyGlyph = (penalty: Penalty): Markup => glyph(square(MIDDLE, MIDDLE, 11, penalty));
export const leafGlyph = (bonus: number, state: State): Markup =>
  glyph(leaf(MIDDLE - 2, GLYPH - 1, GLYPH / 3.25, "red", bonus, state, 8));

/** One winding for every 20 seconds left, as many as the spool holds. */
const WINDING_MS = 20_000;

/** The clock: a spool whose windings are the time left. `lead` draws the thread that comes in from the left. */
export function spool(text: string, words: string, ms: number, size: number, lead = true): Markup {
  const c = size / 2;
  const outer = c * 0.96;
  const inner = outer * 0.8;
  const windings = Math.max(1, Math.min(9, Math.ceil(ms / WINDING_MS)));
  const step = Math.min(size * 0.022, (outer - inner) / windings);
  let drawn = "";
  for (let i = 0; i < windings; i++)
    drawn += `<circle cx="${f(c)}" cy="${f(c)}" r="${f(inner + i * step)}" class="g-wind" stroke-width="${f(Math.max(1.2, step * 0.55))}"/>`;
  drawn += `<circle cx="${f(c)}" cy="${f(c)}" r="${f(c - 1)}" class="g-rim" stroke-width="1.5"/>`;
  if (lead)
    drawn += thread(`M0 ${f(c)}H${f(c - inner - (windings - 1) * step)}`, Math.max(1.6, size * 0.012), true);
  const fs = size * (text.length > 4 ? 0.27 : 0.32);
  drawn += `<text x="${f(c)}" y="${f(c + fs * 0.35)}" class="g-time" font-size="${f(fs)}">${text}</text>`;
  return svg(size, size, "spool", words, drawn);
}

/** Bonus of a fencer, settled and still open, with the words that the leaves need outside the thread. */
export function bonusLine(fencer: FencerOnView, size: number, words: boolean): Markup {
  const say = (text: string): Markup => html`<span class="${words ? "" : "vh"}">${text}</span>`;
  return html`${fencer.bonus !== 0 && html`<span class="tag">${leafTag(fencer.bonus, size)}${say("bonus")}</span>`}${
    fencer.openBonus > 0 &&
    html`<span class="tag">${leafTag(fencer.openBonus, size, "open")}${say("open")}</span>`
  }${
    fencer.openPoints > 0 &&
    html`<span class="tag">${pointsTag(fencer.openPoints, size, true)}${say("points open")}</span>`
  }${
    fencer.warned > 0 &&
    html`<span class="tag"
      >${penaltyGlyph("warning")}${say(fencer.warned === 1 ? "warned" : `warned ${fencer.warned} times`)}</span
    >`
  }`;
}

export interface Key {
  readonly label: string;
  readonly look?: "r" | "b" | "main" | "stop";
  readonly cap?: string;
  readonly pressed?: boolean;
}

/** A key: its depth is its bottom band; Blue's band is hatched, Red's solid. */
export function key({ label, look, cap, pressed }: Key): Markup {
  const state = pressed === undefined ? "" : html` aria-pressed="${String(pressed)}"`;
  return html`<button type="button" class="key${look ? ` ${look}` : ""}${pressed ? " on" : ""}" ${state}>
    <span>${label}</span>${cap && html`<kbd class="cap">${cap}</kbd>`}
  </button>`;
}
