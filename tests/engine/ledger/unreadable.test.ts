/**
 * A text in the ledger's file that is no Unicode any more, because of one bit. One of the drivers ends the whole process
 * where it meets such a text; whoever reads is told instead, with the place, and all that is sound can still be read.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { availableDrivers } from "../../../engine/ledger/connection.ts";
import { openLedger } from "../../../engine/ledger/open.ts";
import { whyNotStarted } from "../../../table-ui/server/main.ts";
import { openHouse } from "../../../table-ui/server/house.ts";
import { halt, key, MIRA } from "../../contracts/ledger.ts";

const driver = availableDrivers().find((each) => each === "libsql");

let dir: string;
let file: string;
beforeEach(async () => {
  dir = mkdtempSync(join(tmpdir(), "garland-unreadable-"));
  file = join(dir, "ledger.sqlite");
  const ledger = await openLedger({ file, driver });
  const spoken = { type: "Noted", data: { reason: "A broken blade." }, at: 1 };
  await ledger.append("bout/1", 0, [halt(1), spoken], key("c-1"));
  await ledger.append("bout/harmed", 0, [halt(1)], key("c-2"));
  await ledger.append("bout/sound", 0, [halt(1)], key("c-3"));
  await ledger.putPerson(MIRA);
  await ledger.putRuleSet({ hash: "h-1", text: "name: Thrust night\n" });
  await ledger.close();
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

/** Sets the highest bit of every byte that begins this text in the file: no Unicode begins so. */
function harm(text: string): void {
  const bytes = readFileSync(file);
  let found = bytes.indexOf(text);
  expect(found, text).toBeGreaterThan(0);
  for (; found >= 0; found = bytes.indexOf(text, found + 1)) bytes[found] = (bytes[found] ?? 0) | 0x80;
  writeFileSync(file, bytes);
}

test.runIf(driver)("in an event: its stream and event are named, other streams are read", async () => {
  harm("A broken blade.");
  const ledger = await openLedger({ file, driver });
  await expect(ledger.read("bout/1")).rejects.toMatchObject({
    code: "damaged",
    message: expect.stringContaining("A text of event 2 of bout/1 in"),
  });
  expect(await ledger.read("bout/sound")).toHaveLength(1);
  await ledger.close();
});

test.runIf(driver)(
  "in a stream's name, a person or a rule set: the start is refused in one sentence",
  async () => {
    for (const [text, said] of [
      ["bout/harmed", "The name of a stream"],
      ["Mira Holm", "A text in people"],
      ["Thrust night", "A text in rule sets"],
    ] as const) {
      const whole = readFileSync(file);
      harm(text);
      const ledger = await openLedger({ file, driver });
      const why = await openHouse(ledger).then(() => undefined, whyNotStarted);
      expect(why).toContain(said);
      expect(why).toContain("restore a backup");
      await ledger.close();
      writeFileSync(file, whole);
    }
  },
);
