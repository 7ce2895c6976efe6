/** Press to every screen: how long until the last one shows it, and what a delivery costs the server. */
import { fileURLToPath } from "node:url";
import { startChild } from "../support/child.ts";
import type { FanoutAsked, FanoutFound } from "./parts/fanout-run.ts";
import { atMost, median, quantile, type BenchRow } from "./parts/rows.ts";

/** 200 screens that hear of every press: one coach, one table, four judges, 40 on the two fencers' links, 154 walls. */
const TWO_HUNDRED = {
  rings: 1,
  judges: 4,
  waiting: 0,
  fencerScreens: 40,
  walls: 154,
  rounds: 12,
  bare: true,
};
const HALLS: readonly { readonly name: string; readonly asked: FanoutAsked }[] = [
  { name: "200 screens", asked: TWO_HUNDRED },
  { name: "200 screens and 40 fencers who wait", asked: { ...TWO_HUNDRED, waiting: 40, rounds: 6 } },
  { name: "1,000 screens", asked: { ...TWO_HUNDRED, fencerScreens: 200, walls: 794, rounds: 6 } },
];

/** Milliseconds from a press to the last screen, and the goal of processor time against bare socket.io. */
const P99_MS = 50;
const AGAINST_BARE = 1.2;

/** One fan-out in processes of its own. */
export async function fanOut(asked: FanoutAsked): Promise<FanoutFound> {
  const screens = startChild(fileURLToPath(new URL("./parts/fanout-run.js", import.meta.url)));
  try {
    return await screens.ask<FanoutFound>("run", asked);
  } finally {
    await screens.end();
  }
}

export async function rows(): Promise<BenchRow[]> {
  const found: BenchRow[] = [];
  for (const { name, asked } of HALLS) found.push(...told(name, await fanOut(asked)));
  return found;
}

function told(name: string, { garland, socketIo, ws, ...more }: FanoutFound): BenchRow[] {
  const cpu = median(garland.cpuMicros);
  // Round by round, so that what slows the machine for a while slows both.
  const against = (bare: readonly number[]): number =>
    median(garland.cpuMicros.map((each, round) => each / (bare[round] ?? Number.NaN)));
  const ms = (list: readonly number[], share: number): string => `${quantile(list, share).toFixed(1)} ms`;
  const { lastScreen } = garland;
  const bare = [
    `bare socket.io p50 ${ms(socketIo?.lastScreen ?? [], 0.5)}, p99 ${ms(socketIo?.lastScreen ?? [], 0.99)}`,
    `bare ws p50 ${ms(ws?.lastScreen ?? [], 0.5)}, p99 ${ms(ws?.lastScreen ?? [], 0.99)}`,
  ].join("; ");
  const ratio = against(socketIo?.cpuMicros ?? []);
  const wsRatio = against(ws?.cpuMicros ?? []).toFixed(2);
  const delivery = `${cpu.toFixed(1)} us, ${Math.round(more.bytesADelivery)} bytes; against bare ws ${wsRatio}x`;
  return [
    atMost(
      `press to the last of ${name}, p99 (p50 ${ms(lastScreen, 0.5)}; ${bare})`,
      quantile(lastScreen, 0.99),
      "ms",
      P99_MS,
    ),
    atMost(
      `processor time of a delivery, ${name}, against bare socket.io (${delivery})`,
      ratio,
      "x",
      AGAINST_BARE,
    ),
  ];
}
