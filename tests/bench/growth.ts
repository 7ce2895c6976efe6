/** How the fan-out grows: with the screens on one ring, and with the rings of a hall. Prints its table on stderr. */
import { fanOut } from "./fanout.ts";
import type { FanoutFound } from "./parts/fanout-run.ts";
import { atMost, exponent, median, quantile, rounded, type BenchRow } from "./parts/rows.ts";

const SCREENS = [200, 500, 1_000, 2_000] as const;
const RINGS = [1, 10, 50] as const;
/** On each ring: a table, three judges, and twelve devices on the two fencers' links. */
const ON_A_RING = { judges: 3, fencerScreens: 12, waiting: 0, walls: 2 };

/** Goals: exponents of the fit, 1 where something grows as its cause does, 0 where it does not grow. */
const AS_ITS_CAUSE = 1.15;
const HARDLY = 0.25;

interface Size {
  readonly x: number;
  readonly p99: number;
  readonly cpu: number;
  /** Processor time of a whole press, microseconds. */
  readonly pressCpu: number;
  readonly kbAScreen: number;
}

export async function rows(): Promise<BenchRow[]> {
  const byScreens: Size[] = [];
  for (const screens of SCREENS) {
    const fencerScreens = screens / 5;
    const walls = screens - fencerScreens - 6;
    const asked = { rings: 1, judges: 4, waiting: 0, fencerScreens, walls, rounds: 3, bare: false };
    byScreens.push(sizeOf(screens, await fanOut(asked)));
  }
  const byRings: Size[] = [];
  // Every ring fences at least once.
  for (const rings of RINGS)
    byRings.push(
      sizeOf(rings, await fanOut({ ...ON_A_RING, rings, rounds: Math.max(3, rings), bare: false })),
    );
  const tables = [print("screens on one ring", byScreens), print("rings, 16 screens on each", byRings)];
  process.stderr.write(`${tables.join("\n")}\n`);
  return [
    grows("time to the last screen (p99) with the screens of a ring", byScreens, "p99", AS_ITS_CAUSE),
    grows("processor time of a delivery with the screens of a ring", byScreens, "cpu", HARDLY),
    grows("memory of a screen with the screens of a ring", byScreens, "kbAScreen", HARDLY),
    // The wall and the coach show every ring; what a press on one of them costs must hardly hang on the others.
    grows("processor time of a press with the rings of a hall", byRings, "pressCpu", HARDLY),
    grows("time to the last screen (p99) with the rings of a hall", byRings, "p99", HARDLY),
  ];
}

function sizeOf(x: number, { garland, deliveriesAPress, bytesAScreen }: FanoutFound): Size {
  const cpu = median(garland.cpuMicros);
  return {
    x,
    p99: quantile(garland.lastScreen, 0.99),
    cpu,
    pressCpu: cpu * deliveriesAPress,
    kbAScreen: bytesAScreen / 1024,
  };
}

function grows(name: string, sizes: readonly Size[], what: Exclude<keyof Size, "x">, goal: number): BenchRow {
  const value = exponent(sizes.map((size) => ({ x: size.x, y: Math.max(size[what], 0.001) })));
  const all = sizes.map((size) => rounded(size[what], 1)).join(", ");
  return atMost(`growth of the ${name} (${all})`, value, "as exponent", goal);
}

function print(title: string, sizes: readonly Size[]): string {
  const head = [title, "p99 ms", "us a delivery", "us a press", "kB a screen"];
  const lines = sizes.map(({ x, p99, cpu, pressCpu, kbAScreen }) => [
    x,
    rounded(p99, 1),
    rounded(cpu, 1),
    Math.round(pressCpu),
    Math.round(kbAScreen),
  ]);
  const widths = head.map((each) => each.length + 2);
  const line = (cells: readonly (string | number)[]): string =>
    cells.map((cell, at) => String(cell).padStart(widths[at] ?? 0)).join("");
  return [head, ...lines].map(line).join("\n");
}
