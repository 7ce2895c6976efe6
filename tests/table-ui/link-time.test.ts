/** A device's idea of the server's time: kept for a whole evening, and mended where its first answer was long on its way. */
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { openLink, type Link } from "../../table-ui/screens/shared/link.ts";
import type { WallView } from "../../table-ui/wire/views.ts";
import { eventually, openTestHall, setTheStage, type TestHall } from "./server/hall.ts";

/** Trips over loopback on a loaded machine stay below this; the clocks below are further off by far. */
const NEAR_MS = 2_000;

let hall: TestHall;
let link: Link | undefined;
let ahead = 0;
const now = (): number => Date.now() + ahead;
beforeEach(async () => {
  ahead = 0;
  hall = await openTestHall({ now });
  vi.stubGlobal("location", new URL(hall.url));
  vi.useFakeTimers({ toFake: ["setInterval"] });
});
afterEach(async () => {
  link?.close();
  vi.useRealTimers();
  vi.unstubAllGlobals();
  await hall.close();
});

test("[W19] it follows the server's clock all evening, though its best answer is an old one", async () => {
  const { wall } = await setTheStage(hall);
  const secret = (hall.running.house.seats.pathOf(wall.view.seat) ?? "").replace("/seat/", "");
  const opened = openLink<WallView>({ view: () => undefined, state: () => undefined }, secret);
  link = opened;
  await eventually(() => opened.state === "linked" && Math.abs(opened.now() - now()) < NEAR_MS);
  for (const minutes of [10, -20]) {
    ahead += minutes * 60_000;
    expect(Math.abs(opened.now() - now())).toBeGreaterThan(NEAR_MS);
    await eventually(() => {
      vi.advanceTimersByTime(15_000);
      return Math.abs(opened.now() - now()) < NEAR_MS;
    });
  }
});
