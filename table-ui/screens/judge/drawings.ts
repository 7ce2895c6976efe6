/** The small drawings of the votes. They show what was seen and never what it pays: no points and no leaf. */
import type { Side } from "../../../engine/index.ts";
import type { JudgeView } from "../../wire/views.ts";
import { away, bead, f, knot, stem, thread } from "../paint/shapes.ts";

export type Picture = NonNullable<JudgeView["ballot"]>["votes"][number]["picture"];

const WIDTH = 96;
const HEIGHT = 72;
const MIDDLE = WIDTH / 2;

const svg = (width: number, height: number, drawn: string, look = "knottag"): string =>
  `<svg class="${look}" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" aria-hidden="true">${drawn}</svg>`;

/** A touch of no size: seen, not counted. */
const touch = (side: Side, y: number): string =>
  stem(MIDDLE, y, y + away(side) * 18, 3) + bead(side, MIDDLE, y + away(side) * 18, 6.3, 3.6, "settled");

/** The parry that came first: two blades crossed, with their guards, before the knot. */
function parry(side: Side, y: number, x = 20): string {
  const up = away(side);
  const at = (dx: number, dy: number): string => `${f(x + dx)} ${f(y + up * dy)}`;
  const blade = (to: 1 | -1): string =>
    `M${at(-12 * to, 5)}L${at(11 * to, 34)}M${at(-13 * to, 14)}L${at(-4 * to, 7)}`;
  return `<path d="${blade(1)}${blade(-1)}" class="g-stem" stroke-width="2.6"/>`;
}

const line = (y: number): string => thread(`M4 ${y}H92`, 3);

export function votePicture(picture: Picture, side: Side): string {
  const y = HEIGHT / 2 - away(side) * 12;
  switch (picture) {
    case "hit":
      return svg(WIDTH, HEIGHT, line(y) + touch(side, y) + knot(MIDDLE, y, 11));
    case "parry-hit":
      return svg(WIDTH, HEIGHT, line(y) + parry(side, y) + touch(side, y) + knot(MIDDLE, y, 11));
    case "action":
      return svg(WIDTH, HEIGHT, line(y) + parry(side, y, MIDDLE) + knot(MIDDLE, y, 11));
    case "none":
      return svg(WIDTH, HEIGHT, line(36) + stem(MIDDLE, 26, 46, 3));
    case "unseen":
      return svg(WIDTH, HEIGHT, thread("M4 36H30M66 36H92", 3));
  }
}

/** Two slips on a thread: one's own is tied, the others are awaited and therefore dashed. */
export const sealedSlip = (): string =>
  svg(
    330,
    132,
    thread("M0 66Q12 71 24 66M306 66H330M150 66Q165 72 180 66", 3.2) +
      `<path d="M30 22L146 14V112L30 118Z" class="g-slip" stroke-width="2"/>` +
      `<rect x="24" y="24" width="126" height="84" rx="2" class="g-slip" stroke-width="2"/>` +
      thread("M24 66H150M84 70C82 84 74 92 66 98M90 70C93 82 99 90 108 95", 3.2) +
      `<ellipse cx="87" cy="66" rx="10" ry="8" class="g-knot"/>` +
      `<rect x="180" y="24" width="126" height="84" rx="2" class="g-await" stroke-width="2.2" stroke-dasharray="9 7"/>`,
  );

/** Stop: an octagon. */
export const stopSign = (): string =>
  svg(
    32,
    32,
    `<path d="M10 2h12l8 8v12l-8 8H10l-8-8V10zM10 16h12" class="g-stop" stroke-width="2.6"/>`,
    "stopsign",
  );
