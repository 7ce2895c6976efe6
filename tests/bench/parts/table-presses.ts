/** Presses at a real table page: from the key to the first change of the document, measured in the page itself. */
import type { Page } from "playwright-core";

/** One exchange and its taking back, so that the bout stays as long as it is: Fence, Halt, a hit, record, undo. */
const EXCHANGE = ["Space", "Space", "KeyQ", "Enter", "Backspace"] as const;
const EXCHANGES = 24;
/** The first of them meet scripts that have never run. */
const WARM_UP = 4;

interface Watching {
  /** Milliseconds from a key to the first change, a press each. */
  presses?: number[];
}

/** Runs in the page: watches the document from the moment that a key goes down. */
function watch(): void {
  const presses: number[] = [];
  (globalThis as Watching).presses = presses;
  const note = (): void => {
    const pressed = performance.now();
    const observer = new MutationObserver(() => {
      presses.push(performance.now() - pressed);
      observer.disconnect();
    });
    observer.observe(document.body, {
      subtree: true,
      childList: true,
      attributes: true,
      characterData: true,
    });
  };
  addEventListener("keydown", note, { capture: true });
}

/**
 * Presses through whole exchanges of the bout on this table's ring, which must be under way; milliseconds for each press.
 * Fails where a press changed nothing.
 */
export async function pressAtTheTable(page: Page): Promise<readonly number[]> {
  await page
    .getByRole("button", { name: /^Fence/ })
    .first()
    .waitFor();
  await page.evaluate(watch);
  let pressed = 0;
  for (let exchange = 0; exchange < EXCHANGES; exchange += 1)
    for (const key of EXCHANGE) {
      await page.keyboard.press(key);
      pressed += 1;
      await page.waitForFunction((count) => (globalThis as Watching).presses?.length === count, pressed);
    }
  const all = await page.evaluate(() => (globalThis as Watching).presses ?? []);
  return all.slice(WARM_UP * EXCHANGE.length);
}
