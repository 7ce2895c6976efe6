/** What a benchmark prints, and the figures it is made of. */

/** A row of `npm run bench`: a measured value against its goal. */
export interface BenchRow {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly goal: number;
  readonly ok: boolean;
}

/** Rounds to as many figures as people can compare. */
export const rounded = (value: number, digits = 2): number => Number(value.toFixed(digits));

/** A row whose value should be at most its goal. */
export function atMost(name: string, value: number, unit: string, goal: number): BenchRow {
  return { name, value: rounded(value), unit, goal, ok: value <= goal };
}

/** A row for what could not be measured: it never counts as reached. */
export function notMeasured(name: string, unit: string, goal: number, why: unknown): BenchRow {
  const said = why instanceof Error ? why.message : String(why);
  return { name: `${name}: not measured (${said})`, value: 0, unit, goal, ok: false };
}

/** The value below which this share (0..1) of the list lies (nearest rank). */
export function quantile(list: readonly number[], share: number): number {
  const sorted = [...list].sort((a, b) => a - b);
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}

export const median = (list: readonly number[]): number => quantile(list, 0.5);

/** The slope of log y over log x by least squares: 1 where y grows as x does, 0 where it does not grow. */
export function exponent(points: readonly { readonly x: number; readonly y: number }[]): number {
  const logs = points.map(({ x, y }) => ({ x: Math.log(x), y: Math.log(y) }));
  const mean = (of: "x" | "y"): number => logs.reduce((sum, each) => sum + each[of], 0) / logs.length;
  const [mx, my] = [mean("x"), mean("y")];
  const over = logs.reduce((sum, { x, y }) => sum + (x - mx) * (y - my), 0);
  return over / logs.reduce((sum, { x }) => sum + (x - mx) ** 2, 0);
}
