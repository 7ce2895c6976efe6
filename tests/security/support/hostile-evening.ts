/** An evening in which everything that somebody wrote looks like markup, over real pages. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { openLedger } from "../../../engine/ledger/open.ts";
import type { BoutCommand, MeetCommand } from "../../../engine/index.ts";
import { paintPages, readManifest, type Manifest } from "../../../table-ui/screens/paint/page.ts";
import { startServer, type Running } from "../../../table-ui/server/start.ts";
import type { Sitting } from "../../../table-ui/wire/hall.ts";
import { root } from "../../support/tree.ts";
import { hit } from "../../table-ui/server/hall.ts";
import { CERTIFICATE } from "./certificate.ts";

/** Whatever of these were taken for more than text would call `zq`, or stand in the page as an element. */
export const WRITTEN = {
  evening: "Eve <script>zq(1)</script> & &amp; night",
  ring: "Ring </title></pre><zq-el>",
  otherRing: "Ring ${zq(2)} {{zq(3)}} `zq(4)`",
  red: `Red "><img src=x onerror=zq(5)>`,
  redShort: "Ré <svg onload=zq(6)>",
  blue: "\u05e9\u05dc\u05d5\u05dd 3:2 \ud83d\udc69\u200d\ud83d\udc67 <b>B</b>",
  blueShort: "B\u200bl </main><zq-el>",
  third: "Third '-zq(7)-' \" onclick=zq(8) x=\"",
  thirdShort: "T <iframe src=javascript:zq(9)>",
  ruleSet: "Set <img src=x onerror=zq(10)>",
  rule: "Rule <a href=javascript:zq(11)>pay</a>",
  reason: "Late <style>*{display:none}</style>",
  lateRing: "New <details open ontoggle=zq(12)>",
} as const;

const RULES = `name: '${WRITTEN.ruleSet}'
touches:
  I hit: 1
rules:
  - name: '${WRITTEN.rule}'
    when: I hit
    pays: 2 bonus to me
`;

const built = join(root, ".build", "pages");

export type Door = "this machine" | "the hall over http" | "the hall over https";
export interface OpenPages {
  readonly running: Running;
  /** Where the browser finds it: "http://hall.test:1234". */
  readonly origin: string;
  readonly path: (seat: "coach" | "table" | "judge" | "fencer" | "wall") => string;
  coach(command: MeetCommand | BoutCommand, bout?: string): Promise<void>;
  callNext(): Promise<void>;
  close(): Promise<void>;
}

export const BOUT = "bout-one";
const NEXT = "bout-two";

async function serveAt(door: Door): Promise<{ running: Running; origin: string }> {
  const manifest = JSON.parse(readFileSync(join(built, "manifest.json"), "utf8")) as Manifest;
  const secure = door === "the hall over https";
  const running = await startServer({
    ledger: await openLedger({ memory: true }),
    pages: paintPages(readManifest(manifest)),
    assetsDir: join(built, "assets"),
    log: { level: "silent" },
    lan: door !== "this machine",
    hosts: ["hall.test"],
    ...(secure ? { tls: CERTIFICATE } : {}),
  });
  const name = door === "this machine" ? "127.0.0.1" : "hall.test";
  return { running, origin: `${secure ? "https" : "http"}://${name}:${running.port}` };
}

/** Opens the evening: a bout halted with one exchange on one ring, another bout planned on the other, a seat of each kind. */
export async function openPages(door: Door): Promise<OpenPages> {
  const { running, origin } = await serveAt(door);
  const { house } = running;
  const seat = house.seats.all().find(({ kind }) => kind === "coach")?.id ?? "";
  const by: Sitting = { kind: "coach", seat };
  let count = 0;
  async function coach(command: MeetCommand | BoutCommand, bout?: string): Promise<void> {
    const on = bout === undefined ? "meet" : { bout };
    const answer = await house.bouts.give(by, { id: `written-${(count += 1)}`, on, command });
    if (!answer.ok) throw new Error(`${command.type}: ${answer.refusal.sentence}`);
  }
  async function call(bout: string): Promise<void> {
    const answer = await house.bouts.callBout(by, bout);
    if (!answer.ok) throw new Error(answer.refusal.sentence);
  }
  async function person(name: string, shortName: string): Promise<string> {
    const id = await house.people.enter({ name, shortName, notes: `Gear: ${WRITTEN.reason}`, consents: [] });
    await coach({ type: "AddFencer", person: id });
    return id;
  }
  await coach({ type: "OpenEvening", name: WRITTEN.evening });
  await coach({ type: "AddRing", ring: "r1", name: WRITTEN.ring });
  await coach({ type: "AddRing", ring: "r2", name: WRITTEN.otherRing });
  const read = house.shelf.read(RULES);
  if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join("\n"));
  await house.shelf.keep(read.file);
  const ruleSet = read.file.hash;
  await coach({ type: "AdoptRuleSet", ruleSet, name: read.file.ruleSet.name });
  const red = await person(WRITTEN.red, WRITTEN.redShort);
  const blue = await person(WRITTEN.blue, WRITTEN.blueShort);
  const third = await person(WRITTEN.third, WRITTEN.thirdShort);
  await coach({ type: "PlanBout", bout: BOUT, ring: "r1", red, blue, ruleSet });
  await coach({ type: "PlanBout", bout: NEXT, ring: "r2", red: third, blue, ruleSet });
  await call(BOUT);
  for (const type of ["ConfirmCheck", "ComeOnGuard", "StartFencing", "CallHalt"] as const)
    await coach({ type }, BOUT);
  await coach({ type: "RecordExchange", exchange: "x1", record: hit("red") }, BOUT);
  await coach({ type: "GivePenalty", side: "blue", penalty: "warning", why: WRITTEN.reason }, BOUT);
  const issued = {
    table: await house.seats.issue({ kind: "table", ring: "r1" }),
    judge: await house.seats.issue({ kind: "judge", ring: "r1", judge: 1 }),
    fencer: await house.seats.issue({ kind: "fencer", person: red }),
    wall: await house.seats.issue({ kind: "wall" }),
  };
  return {
    running,
    origin,
    path: (kind) => (kind === "coach" ? running.coachPath : issued[kind].path),
    coach,
    // The second fencer of the bout on the ring is free only when it has ended.
    async callNext() {
      await coach({ type: "EndBout", ending: "red wins" }, BOUT);
      await coach({ type: "ClearRing", ring: "r1" });
      await call(NEXT);
    },
    close: () => running.stop(),
  };
}
