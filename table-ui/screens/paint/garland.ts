/**
 * The garland: a bout is a thread, each exchange a knot on it, touches are beads, bonuses leaves; Red above, Blue below.
 * One picture for every screen, as an SVG string. The same bout in words: telling.ts.
 */
import type { Side } from "../../../engine/index.ts";
import { escape } from "./markup.ts";
import type { Leaf, Mark, Voice } from "./marks.ts";
import {
  away,
  bead,
  f,
  figure,
  knot,
  leaf,
  loss,
  radius,
  reach,
  ring,
  rings,
  slip,
  square,
  stem,
  stitch,
  thread,
} from "./shapes.ts";

/** Room that one fencer's side needs, in u: the stem, Blue's largest touch (the taller shape), and a leaf. */
const room = (largest: number): number => 4.2 + 2.24 * Math.sqrt(largest);

/** The scale is kept for touches up to this, so that the picture does not jump when the first one lands. */
const USUAL_TOUCH = 3;

/** Knots that the thread makes room for: as planned, growing by 6 once it is full. */
export function roomFor(marks: number, planned: number): number {
  return marks <= planned ? planned : planned + Math.ceil((marks - planned) / 6) * 6;
}

export interface GarlandSize {
  /** Pixels of the drawing; it scales as a whole. */
  readonly width: number;
  /** Left out, each row takes what its beads and leaves can need. */
  readonly height?: number;
  /** How many exchanges to make room for. */
  readonly planned: number;
  /** More exchanges than this stand in two rows (12 on a phone). */
  readonly rowOf?: number;
  /** Exchange numbers under the thread, at this size. */
  readonly numbers?: number;
  /** Thread that leads on into the clock. */
  readonly leadOut?: boolean;
  /** The picture's name for those who cannot see it; its content stands in the table beside it. */
  readonly label: string;
}

const dress = (leaves: readonly Leaf[], pitch: number, u: number): readonly Leaf[] => {
  if (leaves.length < 2 || (pitch >= 5 * u && leaves.length <= 3)) return leaves;
  const state = leaves.some((one) => one.state === "open") ? "open" : (leaves[0]?.state ?? "settled");
  return [{ bonus: leaves.reduce((sum, one) => sum + one.bonus, 0), state }];
};

function leavesAt(x: number, foot: number, u: number, side: Side, leaves: readonly Leaf[]): string {
  return leaves
    .map((one, i) => {
      const off = i - (leaves.length - 1) / 2;
      const turn = leaves.length === 1 ? 9 : off * (leaves.length === 2 ? 84 : 70);
      return `<g class="g-l">${leaf(x + off * u * 0.7, foot, u, side, one.bonus, one.state, turn)}</g>`;
    })
    .join("");
}

/** One fencer's touches and leaves, outwards from `start`. */
function voiceAt(
  side: Side,
  voice: Voice,
  mark: Mark,
  x: number,
  y: number,
  start: number,
  u: number,
  pitch: number,
): string {
  const dir = away(side);
  const lead = Math.max(1.3, u * 0.17);
  let at = start;
  let drawn = "";
  // Beyond a double's rings the stem begins anew, or it would cross them.
  let hangs = mark.knot === "double";
  const touches: (readonly [number, "settled" | "wet" | "open"])[] = [];
  if (voice.points > 0) touches.push([voice.points, mark.wet ? "wet" : "settled"]);
  if (voice.openPoints > 0) touches.push([voice.openPoints, "open"]);
  if (voice.points < 0) {
    drawn += stem(x, y, at + dir * u * 0.8, lead) + loss(side, x, at + dir * u * 0.8, u, voice.points);
    at += dir * u * 2.4;
    hangs = true;
  }
  for (const [points, state] of touches) {
    const r = reach(side, radius(u, points));
    const middle = at + dir * (r + u * 0.1);
    drawn += stem(x, hangs ? at : y, middle, lead);
    drawn += `<g class="g-b">${bead(side, x, middle, u, points, state)}</g>`;
    at = middle + dir * (r + u * 0.02);
    hangs = true;
  }
  const leaves = dress(voice.leaves, pitch, u);
  if (leaves.length > 0) {
    const foot = at + dir * u * (hangs ? 0.32 : 0.9);
    drawn += stem(x, hangs ? at : y, foot + dir * u * 0.5, lead) + leavesAt(x, foot, u, side, leaves);
  }
  return drawn;
}

/** A single exchange on its piece of thread, with its middle at (x, y). */
export function exchangeAt(mark: Mark, x: number, y: number, u: number, pitch: number): string {
  const lead = Math.max(1.3, u * 0.17);
  let drawn = "";
  for (const side of ["red", "blue"] as const) {
    const dir = away(side);
    let start = y + dir * u * (mark.knot === "double" ? 2.3 : mark.knot === "sealed" ? 1 : 0.62);
    if (mark.penalty?.side === side) {
      drawn += square(x, start + dir * u * 0.98, u, mark.penalty.penalty);
      start += dir * u * 1.9;
    }
    drawn += voiceAt(side, mark[side], mark, x, y, start, u, pitch);
  }
  if (mark.knot === "double") drawn += rings(x, y, u);
  else if (mark.knot === "sealed") drawn += slip(x, y, u);
  else if (mark.knot === "no exchange") drawn += stem(x, y - u * 0.5, y + u * 0.5, lead * 1.3);
  else if (mark.knot === "under way" || mark.wet) drawn += ring(x, y, u, lead * 1.4);
  else drawn += knot(x, y, u);
  if (mark.putRight) drawn += stitch(x + Math.min(u * 1.25, pitch * 0.4), y, u);
  return `<g data-x="${escape(mark.id)}"${mark.afterTheEnd ? ' class="g-after"' : ""}>${drawn}</g>`;
}

function row(
  marks: readonly Mark[],
  from: number,
  places: number,
  size: GarlandSize,
  u: number,
  y: number,
  more: boolean,
): string {
  const pitch = size.width / places;
  const at = (i: number): number => pitch * (i + 0.5);
  const sag = Math.min(u * 0.55, pitch * 0.12);
  const weight = Math.max(1.8, u * 0.26);
  let d = `M0 ${f(y)}`;
  let end = 0;
  for (let i = 0; i < marks.length; i++) {
    const x = at(i);
    d += `Q${f((end + x) / 2)} ${f(y + sag * (x - end > pitch * 0.6 ? 1 : 0.3))} ${f(x)} ${f(y)}`;
    end = x;
  }
  const full = marks.length === places && marks[places - 1]?.knot !== "under way";
  let drawn = full || more ? thread(`M${f(end)} ${f(y)}H${f(size.width)}`, weight) : "";
  if (!full && (places > marks.length || size.leadOut)) {
    drawn += thread(`M${f(end)} ${f(y)}H${f(size.width)}`, weight * 0.7, true);
    for (let i = marks.length; i < places; i++)
      drawn += `<circle cx="${f(at(i))}" cy="${f(y)}" r="${f(Math.max(1.6, u * 0.16))}" class="g-pin"/>`;
  }
  if (marks.length > 0) drawn += thread(d, weight);
  drawn += marks.map((mark, i) => exchangeAt(mark, at(i), y, u, pitch)).join("");
  if (size.numbers)
    for (let i = 0; i < places; i++) {
      const now = marks[i]?.knot === "under way" || marks[i]?.wet;
      const bottom = (size.height ?? 2 * y) - size.numbers * 0.5;
      drawn += figure(at(i), bottom, size.numbers, now ? "g-ixnow" : "g-ix", String(from + i + 1));
    }
  return drawn;
}

/**
 * The picture of a bout. u = pitch / (2.25 sqrt(largest touch)), but never more than the height has room for.
 * Digits appear only where they are at least 10 px of the drawing.
 */
export function garland(marks: readonly Mark[], size: GarlandSize): string {
  const places = roomFor(marks.length, Math.max(1, size.planned));
  const rows = size.rowOf !== undefined && places > size.rowOf ? 2 : 1;
  const perRow = Math.ceil(places / rows);
  const largest = marks.reduce(
    (most, { red, blue }) => Math.max(most, red.points, red.openPoints, blue.points, blue.openPoints),
    USUAL_TOUCH,
  );
  const wish = size.width / perRow / (2.25 * Math.sqrt(largest));
  const under = size.numbers ? size.numbers * 1.4 : 0;
  const height = size.height ?? rows * 2 * room(largest) * wish + under;
  const rowHeight = (height - under) / rows;
  const u = Math.min(wish, rowHeight / 2 / room(largest));
  let drawn = "";
  for (let i = 0; i < rows; i++) {
    const part = marks.slice(i * perRow, (i + 1) * perRow);
    const here = Math.min(perRow, places - i * perRow);
    const goesOn = i < rows - 1 && marks.length > perRow;
    drawn += row(
      part,
      i * perRow,
      Math.max(here, perRow),
      { ...size, height },
      u,
      rowHeight * (i + 0.5),
      goesOn,
    );
  }
  return `<svg class="garland" viewBox="0 0 ${f(size.width)} ${f(height)}" width="${f(size.width)}" height="${f(height)}"${size.leadOut ? ' preserveAspectRatio="xMaxYMid"' : ""} role="img" aria-label="${escape(size.label)}">${drawn}</svg>`;
}
