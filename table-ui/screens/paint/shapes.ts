/**
 * The few shapes that every drawing is made of, as SVG strings. Lengths in pixels of the drawing; `u` is the radius of a
 * one-point bead. Geometry stands in attributes and colour in classes, because the pages allow no inline style.
 */
import type { Side, Penalty } from "../../../engine/index.ts";

/** settled: filled. wet: being entered, solid outline. open: undecided, dashed (and nothing else ever is). */
export type State = "settled" | "wet" | "open";

/** One decimal is a tenth of a pixel: enough, and half the bytes. */
export const f = (n: number): string => String(Math.round(n * 10) / 10);

/** Up for Red, down for Blue. */
export const away = (side: Side): -1 | 1 => (side === "red" ? -1 : 1);

/** 0.5 as ½, 1.5 as 1½, a loss with a true minus sign. */
export function numeral(n: number): string {
  const whole = Math.floor(Math.abs(n));
  const half = Math.abs(n) - whole === 0.5;
  const text = half ? `${whole || ""}½` : String(Math.abs(n));
  return n < 0 ? `−${text}` : text;
}

/** A digit smaller than this cannot be read, so it is left out and size and shape speak alone. */
const LEAST_DIGIT = 10;

export function figure(x: number, y: number, size: number, look: string, text: string): string {
  if (size < LEAST_DIGIT || text === "") return "";
  const small = size < 12 ? " g-s" : "";
  return `<text x="${f(x)}" y="${f(y + size * 0.35)}" class="${look}${small}" font-size="${f(size)}">${text}</text>`;
}

/** Area in proportion to the points. */
export const radius = (u: number, points: number): number => u * Math.sqrt(points);

/** A rounded lozenge whose area is close to that of a disc of radius r. */
export function lozenge(x: number, y: number, r: number): string {
  const k = r * 1.22;
  const c = r * 0.3;
  const at = (dx: number, dy: number): string => `${f(x + dx)} ${f(y + dy)}`;
  return (
    `M${at(c, c - k)}L${at(k - c, -c)}Q${at(k, 0)} ${at(k - c, c)}L${at(c, k - c)}Q${at(0, k)} ${at(-c, k - c)}` +
    `L${at(c - k, c)}Q${at(-k, 0)} ${at(c - k, -c)}L${at(-c, c - k)}Q${at(0, -k)} ${at(c, c - k)}Z`
  );
}

/** How far a bead of this radius reaches from its middle, along the stem. */
export const reach = (side: Side, r: number): number => (side === "red" ? r : r * 1.12);

function outline(side: Side, x: number, y: number, r: number, look: string, more = ""): string {
  return side === "red"
    ? `<circle cx="${f(x)}" cy="${f(y)}" r="${f(r)}" class="${look}"${more}/>`
    : `<path d="${lozenge(x, y, r)}" class="${look}"${more}/>`;
}

const stroke = (width: number, dash?: readonly [number, number]): string =>
  ` stroke-width="${f(width)}"${dash ? ` stroke-dasharray="${f(dash[0])} ${f(dash[1])}"` : ""}`;

/** A touch: Red's disc or Blue's lozenge with its points (halves allowed). Without `number` the size speaks alone. */
export function bead(side: Side, x: number, y: number, u: number, points: number, state: State): string {
  const r = radius(u, points);
  const size = Math.min(u, r) < 6.4 ? 0 : Math.max(LEAST_DIGIT, r * (points % 1 ? 1.05 : 1.25));
  const line = Math.max(1.2, r * 0.12);
  const text = numeral(points);
  const ink = side === "red" ? "g-nwr" : "g-nwb";
  const edge = side === "red" ? "g-redln" : "g-blueln";
  if (state === "wet") {
    const more = stroke(line * 2);
    return outline(side, x, y, r - line, `g-wet ${edge}`, more) + figure(x, y, size, ink, text);
  }
  if (state === "open") {
    const more = stroke(line * 1.3, [r * 0.42, r * 0.36]);
    return outline(side, x, y, r, `g-wet ${edge}`, more) + figure(x, y, size, ink, text);
  }
  const number = figure(x, y, size, side === "red" ? "g-nred" : "g-nblue", text);
  if (side === "red") return outline(side, x, y, r, "g-red") + number;
  const keyline = r > 8.5 ? outline(side, x, y, r * 0.8, "g-bluein", stroke(Math.max(1, r * 0.075))) : "";
  return outline(side, x, y, r, "g-blue") + keyline + number;
}

/** A loss of points: a bar across the stem, the number beyond it. */
export function loss(side: Side, x: number, y: number, u: number, points: number): string {
  const bar = `<path d="M${f(x - u)} ${f(y)}H${f(x + u)}" class="g-loss"${stroke(Math.max(2.4, u * 0.42))}/>`;
  return (
    bar +
    figure(
      x,
      y + away(side) * u * 1.15,
      u < 6.4 ? 0 : Math.max(LEAST_DIGIT, u * 1.25),
      "g-nloss",
      numeral(points),
    )
  );
}

const LEAN = Math.PI / 180;

/** A bonus: a leaf 3.1u long with its foot at (x, y); `turn` in degrees from straight away; the number stays upright. */
export function leaf(
  x: number,
  y: number,
  u: number,
  side: Side,
  bonus: number,
  state: State,
  turn = 9,
): string {
  const long = u * 3.1;
  const wide = u * 1.5;
  const angle = side === "red" ? turn : 180 - turn;
  const d =
    `M0 0C${f(wide)} ${f(-long * 0.12)} ${f(wide * 1.02)} ${f(-long * 0.66)} 0 ${f(-long)}` +
    `C${f(-wide * 1.02)} ${f(-long * 0.66)} ${f(-wide)} ${f(-long * 0.12)} 0 0Z`;
  const cx = x + Math.sin(angle * LEAN) * long * 0.46;
  const cy = y - Math.cos(angle * LEAN) * long * 0.46;
  const text = numeral(bonus);
  const size = u < 6 ? 0 : Math.max(10.5, u * (text.length > 1 ? 1.3 : 1.62));
  const line = Math.max(1.4, u * 0.16);
  const place = ` transform="translate(${f(x)} ${f(y)})rotate(${f(angle)})"`;
  const more =
    state === "settled" ? "" : state === "open" ? stroke(line, [u * 0.5, u * 0.4]) : stroke(line * 1.15);
  const look = state === "settled" ? "g-leaf" : "g-leafopen";
  return (
    `<path d="${d}"${place} class="${look}"${more}/>` +
    figure(cx, cy, size, state === "settled" ? "g-nleaf" : "g-nopen", text)
  );
}

/** A double: two rings woven through each other. */
export function rings(x: number, y: number, u: number): string {
  const r = u * 1.25;
  const o = u * 0.82;
  const w = Math.max(1.8, u * 0.34);
  const ring = (cy: number, look: string, width: number): string =>
    `<circle cx="${f(x)}" cy="${f(cy)}" r="${f(r)}" class="${look}"${stroke(width)}/>`;
  const over = `<path d="M${f(x)} ${f(y - o - r)}a${f(r)} ${f(r)} 0 0 1 0 ${f(2 * r)}" class="`;
  return (
    ring(y - o, "g-halo", w * 2.4) +
    ring(y - o, "g-redln", w) +
    ring(y + o, "g-halo", w * 2) +
    ring(y + o, "g-blueln", w) +
    `${over}g-halo"${stroke(w * 2)}/>${over}g-redln"${stroke(w)}/>`
  );
}

/** A penalty with its middle at (x, y): hollow for a warning, half filled for a penalty hit, full for out. */
export function square(x: number, y: number, u: number, penalty: Penalty): string {
  const q = u * 1.5;
  const left = f(x - q / 2);
  const top = f(y - q / 2);
  const box = `<rect x="${left}" y="${top}" width="${f(q)}" height="${f(q)}" rx="${f(u * 0.12)}" class="`;
  const frame = `${box}g-pen"${stroke(Math.max(1.4, u * 0.16))}/>`;
  if (penalty === "warning") return frame;
  if (penalty === "out") return `${frame}${box}g-penf"/>`;
  return `${frame}<path d="M${left} ${f(y + q / 2)}L${f(x + q / 2)} ${top}V${f(y + q / 2)}Z" class="g-penf"/>`;
}

/** Put right: a small cross-stitch. */
export function stitch(x: number, y: number, u: number): string {
  const q = Math.max(2.4, u * 0.42);
  const d = `M${f(x - q)} ${f(y - q)}l${f(2 * q)} ${f(2 * q)}m0 ${f(-2 * q)}l${f(-2 * q)} ${f(2 * q)}`;
  return `<path d="${d}" class="g-halo"${stroke(Math.max(3.6, u * 0.5))}/><path d="${d}" class="g-stitch"${stroke(Math.max(1.3, u * 0.14))}/>`;
}

/** Sealed: a folded slip tied onto the thread. It is decided, so it is not dashed. */
export function slip(x: number, y: number, u: number): string {
  const w = u * 2.2;
  const h = u * 1.6;
  const line = Math.max(1.2, u * 0.14);
  return (
    `<rect x="${f(x - w / 2)}" y="${f(y - h / 2)}" width="${f(w)}" height="${f(h)}" rx="${f(u * 0.12)}" class="g-slip"${stroke(line)}/>` +
    `<path d="M${f(x - w / 2)} ${f(y)}h${f(w)}M${f(x)} ${f(y - h / 2)}v${f(h)}" class="g-stem"${stroke(line)}/>` +
    `<ellipse cx="${f(x)}" cy="${f(y)}" rx="${f(u * 0.34)}" ry="${f(u * 0.28)}" class="g-knot"/>`
  );
}

/** A piece of thread from the knot to whatever hangs on it. */
export const stem = (x: number, from: number, to: number, width: number): string =>
  `<path d="M${f(x)} ${f(from)}V${f(to)}" class="g-stem"${stroke(width)}/>`;

export const knot = (x: number, y: number, u: number): string =>
  `<ellipse cx="${f(x)}" cy="${f(y)}" rx="${f(u * 0.5)}" ry="${f(u * 0.4)}" class="g-knot"/>`;

/** The exchange under way. */
export const ring = (x: number, y: number, u: number, width: number): string =>
  `<circle cx="${f(x)}" cy="${f(y)}" r="${f(u * 0.42)}" class="g-wet g-thread"${stroke(width)}/>`;

export const thread = (d: string, width: number, rest = false): string =>
  `<path d="${d}" class="${rest ? "g-rest" : "g-thread"}"${stroke(width)}/>`;
