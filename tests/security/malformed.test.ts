/** Thousands of messages that must be refused: with a code, without a change, and without a trace in memory. */
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { afterEach, expect, test } from "vitest";
import { REFUSAL_CODES, type Refusal } from "../../engine/index.ts";
import { checkSent } from "../../table-ui/wire/checks.ts";
import { must } from "../table-ui/server/hall.ts";
import { BOUT_COMMANDS, MEET_COMMANDS } from "./hostile/commands.ts";
import { shots, type Shot } from "./hostile/messages.ts";
import { besiege, everything, type Besieged } from "./hostile/target.ts";

const MESSAGES = process.env["LONG"] === "1" ? 100_000 : 10_000;
/** Sent before the first answer is waited for. */
const AT_ONCE = 50;
const SEED = 20_261;
/** Parts of the attack, after each of which memory is measured. */
const PARTS = 12;
/** What the heap may grow in the last third of the attack, in bytes; 200 of every message kept would be more. */
const SPARE = 400_000;

let hall: Besieged | undefined;
afterEach(async () => {
  await hall?.close();
  hall = undefined;
});

setFlagsFromString("--expose-gc");
const gc = runInNewContext("gc") as () => void;

function heapAfterGc(): number {
  gc();
  return process.memoryUsage().heapUsed;
}

interface Answer {
  readonly ok: boolean;
  readonly repeated?: true;
  readonly refusal?: Refusal;
}

const codes: readonly string[] = REFUSAL_CODES;

/** One line that says what came back, so that a failure prints the shot. */
function verdict(answer: Answer, { expect: wanted }: Shot): string {
  if (wanted === "repeated") return answer.ok && answer.repeated === true ? "as it must" : "not repeated";
  const { refusal } = answer;
  if (answer.ok || refusal === undefined) return "not refused";
  if (!codes.includes(refusal.refused)) return `no code of ours: ${refusal.refused}`;
  if (refusal.refused === "read-only") return "the server could not do it";
  return refusal.sentence.length > 10 && refusal.sentence.length < 400 ? "as it must" : "no sentence";
}

async function fire({ raw }: Besieged, shot: Shot): Promise<string> {
  const { from, event, args } = shot;
  if (shot.expect === "silent") {
    raw[from].tell(event, args);
    return "as it must";
  }
  const said = verdict((await raw[from].ask(event, args)) as Answer, shot);
  return said === "as it must" ? said : `${said}: ${from} ${event} ${args.slice(0, 400)}`;
}

test("every type of command has a valid example here, which the door lets pass", () => {
  const common = { id: "a-good-id-0001" };
  const refused = [
    ...Object.values(BOUT_COMMANDS).map((command) => ({ ...common, on: { bout: "bout-x" }, command })),
    ...Object.values(MEET_COMMANDS).map((command) => ({ ...common, on: "meet", command })),
  ].filter((message) => !checkSent(message).ok);
  expect(refused).toEqual([]);
});

test(`[W13] ${MESSAGES} hostile messages are refused with a code, change nothing, end nothing and leave nothing in memory`, async () => {
  hall = await besiege();
  const before = await everything(hall);
  const source = shots(SEED, hall.target);
  const heaps: number[] = [];
  const kinds = new Map<string, number>();
  for (let part = 0; part < PARTS; part += 1) {
    for (let sent = 0; sent < MESSAGES / PARTS; sent += AT_ONCE) {
      const some = Array.from({ length: AT_ONCE }, () => source.next().value);
      const said = await Promise.all(some.map((shot) => fire(hall as Besieged, shot)));
      expect(said.filter((each) => each !== "as it must")).toEqual([]);
      for (const { event, expect: wanted } of some) {
        const kind = `${event} ${wanted}`;
        kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
      }
      // The others are served meanwhile.
      expect(await hall.stage.wall.ask("time", { t: sent })).toMatchObject({ t: sent });
    }
    heaps.push(heapAfterGc());
  }
  expect(kinds.get("command refused")).toBeGreaterThan(MESSAGES / 2);
  expect(kinds.get("command repeated")).toBeGreaterThan(MESSAGES / 100);
  expect(kinds.get("coach refused")).toBeGreaterThan(MESSAGES / 20);
  expect(kinds.get("command silent")).toBeGreaterThan(MESSAGES / 1_000);

  expect(await everything(hall)).toBe(before);
  const third = PARTS / 3;
  const grown = (from: number): number => (heaps[from + third - 1] ?? 0) - (heaps[from] ?? 0);
  // The first third warms up; whatever the last one still adds, every further message would add too.
  expect(grown(PARTS - third)).toBeLessThan(SPARE);

  const { table } = hall.stage;
  must(await table.command({ bout: hall.target.bout }, { type: "StartFencing" }));
});
