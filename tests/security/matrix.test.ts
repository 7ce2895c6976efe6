/** [W16] Every command and every request from every seat, as matrix.yaml says it; what is refused changes nothing. */
import { readFileSync } from "node:fs";
import { afterEach, describe, expect, test } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { REFUSAL_CODES } from "../../engine/index.ts";
import { ASKS, COMMANDS } from "../../table-ui/server/labels.ts";
import type { Answered, CoachAnswer } from "../../table-ui/wire/messages.ts";
import type { Device } from "../table-ui/server/hall.ts";
import { ASKED, IN_BOUT, IN_MEET, kindOf, made } from "./support/commands.ts";
import { BOUT, openEvening, SEATS, STAGES, type Evening, type SeatName } from "./support/evening.ts";

const code = z.enum(REFUSAL_CODES);
const row = z.strictObject({
  at: z.enum(STAGES),
  may: z.array(z.enum(SEATS)).default([]),
  but: z.partialRecord(z.enum(SEATS), code).default({}),
  rest: code.default("not-your-seat"),
  "server's own": z.boolean().default(false),
});
type Row = z.infer<typeof row>;
const matrix = z
  .strictObject({
    bout: z.record(z.string(), row),
    meet: z.record(z.string(), row),
    asks: z.record(z.string(), row),
  })
  .parse(parse(readFileSync(new URL("matrix.yaml", import.meta.url), "utf8")));

const ROWS = Object.entries(matrix).flatMap(([part, rows]) =>
  Object.entries(rows).map(([name, each]) => ({ part: part as keyof typeof matrix, name, row: each })),
);

const ENDED: readonly SeatName[] = ["revoked", "former coach"];

/** What must come back: "carried out", or the code of the refusal. */
function expected(each: Row, seat: SeatName): string {
  if (each["server's own"]) return "bad-message";
  if (ENDED.includes(seat)) return "no-such-seat";
  return each.but[seat] ?? (each.may.includes(seat) ? "carried out" : each.rest);
}

type Part = (typeof ROWS)[number]["part"];

function give(evening: Evening, device: Device, part: Part, name: string): Promise<Answered | CoachAnswer> {
  if (part === "asks") {
    const wall = evening.hall.running.house.seats.all().find(({ kind }) => kind === "wall")?.id ?? "";
    const request = ASKED[name]?.(evening, wall);
    if (request === undefined) throw new Error(`nothing to ask for "${name}"`);
    return device.coach(request);
  }
  const make = (part === "bout" ? IN_BOUT : IN_MEET)[name];
  if (make === undefined) throw new Error(`no command for "${name}"`);
  return device.command(part === "bout" ? { bout: BOUT } : "meet", made<object>(make, evening) as never);
}

const said = (answer: Answered | CoachAnswer): string => (answer.ok ? "carried out" : answer.refusal.refused);

/** Every stream's version and all that stands beside the streams. */
const onFile = async ({ hall: { ledger } }: Evening): Promise<string> =>
  JSON.stringify([
    await ledger.streams(),
    await ledger.beside(),
    await ledger.people(),
    await ledger.seats(),
  ]);

/** Every seat's whole view, and how much each device has been sent. */
async function seen(devices: ReadonlyMap<SeatName, Device>): Promise<Record<string, unknown>> {
  const views: Record<string, unknown> = {};
  for (const [name, device] of devices) {
    const shown = (await device.ask("view", {})) as { v?: number; view?: { at: number } };
    views[name] = [shown.v, { ...shown.view, at: 0 }, device.patches.length];
  }
  return views;
}

let evening: Evening | undefined;
afterEach(async () => {
  await evening?.close();
  evening = undefined;
});

test("every command and every request has its row, and every row its command", () => {
  const kinds = (part: Part): string[] => [...new Set(Object.keys(matrix[part]).map(kindOf))];
  expect([...kinds("bout"), ...kinds("meet")].sort()).toEqual(Object.keys(COMMANDS).sort());
  expect(kinds("asks").sort()).toEqual(Object.keys(ASKS).sort());
  expect(Object.keys(matrix.bout)).toEqual(Object.keys(IN_BOUT));
  expect(Object.keys(matrix.meet)).toEqual(Object.keys(IN_MEET));
  for (const [name, make] of [...Object.entries(IN_BOUT), ...Object.entries(IN_MEET)]) {
    const people = { red: "", blue: "", third: "", fourth: "", newcomer: "" };
    const ruleSets = { inForce: "", another: "", unused: "" };
    expect(made<{ type: string }>(make, { people, ruleSets }).type).toBe(kindOf(name));
  }
});

describe("[W16] who may do what", () => {
  const ats = [...new Set(ROWS.map(({ row: { at } }) => at))];
  test.each(ats)("%s: whoever may not is refused, and nothing changes", async (at) => {
    evening = await openEvening(at);
    const devices = await evening.everybody();
    const before = [await onFile(evening), await seen(devices)];
    // One evening for all rows, for none of this changes it.
    for (const { part, name, row: each } of ROWS.filter(({ row }) => row.at === at)) {
      const answers: Record<string, string> = {};
      const wanted: Record<string, string> = {};
      for (const [seat, device] of devices) {
        const must = expected(each, seat);
        if (must === "carried out") continue;
        wanted[seat] = must;
        answers[seat] = said(await give(evening, device, part, name));
      }
      expect(answers, name).toEqual(wanted);
      expect(Object.keys(answers).length, name).toBeGreaterThan(5);
      expect([await onFile(evening), await seen(devices)], name).toEqual(before);
    }
  });

  test.each(ROWS.filter(({ row: { may } }) => may.length > 0))(
    "$name: whoever may has it carried out",
    async ({ part, name, row: each }) => {
      const answers: Record<string, string> = {};
      for (const seat of each.may) {
        // A fresh evening for each seat, for what is allowed changes it.
        evening = await openEvening(each.at);
        if (seat === "pen") await evening.seat("referee");
        const device = await evening.seat(seat);
        const before = await onFile(evening);
        answers[seat] = said(await give(evening, device, part, name));
        const reads = name === "read rule set" || name === "try";
        if (!reads && (await onFile(evening)) === before) answers[seat] += ", and nothing is on file";
        await evening.close();
        evening = undefined;
      }
      expect(answers).toEqual(Object.fromEntries(each.may.map((seat) => [seat, "carried out"])));
    },
  );
});
