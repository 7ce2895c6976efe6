/** `garland verify`, `backup` and `restore`, as a club calls them: on a running server, a stopped one, and a file. */
import {
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { createServer, type Server } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from "vitest";
import { openLedger, verifyLedger, type LedgerReport } from "../../engine/ledger/open.ts";
import { main } from "../../table-ui/cli/main.ts";
import { openedIn, sayOpened } from "../../table-ui/server/opened.ts";
import { startServer, type Running } from "../../table-ui/server/start.ts";
import type { CoachView } from "../../table-ui/wire/views.ts";
import { Device, hit, must, plainPages } from "./server/hall.ts";

/** The demo evening, told once; every test starts from a copy of its folder. */
let evening: string;
let folder: string;
let data: string;
beforeAll(async () => {
  evening = mkdtempSync(join(tmpdir(), "garland-evening-"));
  await (await serving(evening)).stop();
});
afterAll(() => rmSync(evening, { recursive: true, force: true }));
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "garland-keeping-"));
  data = join(folder, "thursday");
});
const stopped = (): void => cpSync(evening, data, { recursive: true });
const after: (() => Promise<void> | void)[] = [];
afterEach(async () => {
  for (const undo of after.splice(0).reverse()) await undo();
  rmSync(folder, { recursive: true, force: true });
});

interface Said {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** Runs one command in this process; answers with its exit code and all that it said. */
async function garland(...args: readonly string[]): Promise<Said> {
  const before = process.exitCode;
  process.exitCode = 0;
  const said = { out: "", err: "" };
  const hear = (which: "out" | "err") => (chunk: unknown) => ((said[which] += String(chunk)), true);
  const spies = [
    vi.spyOn(process.stdout, "write").mockImplementation(hear("out")),
    vi.spyOn(process.stderr, "write").mockImplementation(hear("err")),
  ];
  try {
    await main(args);
    return { code: Number(process.exitCode ?? 0), ...said };
  } finally {
    for (const spy of spies) spy.mockRestore();
    process.exitCode = before;
  }
}

interface Serving {
  readonly running: Running;
  stop(): Promise<void>;
}

/** A server over a ledger in a folder, with the files that `garland serve` keeps there. */
async function serving(dir = data): Promise<Serving> {
  if (dir === data) stopped();
  const ledger = await openLedger({ dir });
  const running = await startServer({
    ledger,
    pages: plainPages,
    evening: true,
    secretFile: join(dir, "coach.seat"),
    houseFile: join(dir, "house.secret"),
    log: { level: "silent" },
  });
  const closed = sayOpened(dir, running.url);
  let gone = false;
  const stop = async (): Promise<void> => {
    if (gone) return;
    gone = true;
    closed();
    await running.stop();
    await ledger.close();
  };
  after.push(stop);
  return { running, stop };
}

const talliesOf = ({ running }: Serving) =>
  Object.fromEntries(running.house.streams.bouts().map(({ bout }) => [bout.id, bout.tally]));

/** The bout on the first ring, and the coach's device. */
async function coachOf({ running }: Serving): Promise<{ coach: Device<CoachView>; bout: string }> {
  const coach = new Device<CoachView>(running.url, running.coachPath);
  after.push(() => void coach.socket.disconnect());
  const { meet } = await coach.until((view) => view.meet.rings[0]?.bout !== undefined);
  return { coach, bout: meet.rings[0]?.bout ?? "" };
}

describe("garland verify", () => {
  test("[W29] asks the server that runs, which answers only the coach's link", async () => {
    const { running } = await serving();
    expect(await garland("verify", "--data", data)).toEqual({
      code: 0,
      out: expect.stringMatching(/^5 bouts, \d+ events: all sound\.\n$/),
      err: "",
    });
    const wall = await running.house.seats.issue({ kind: "wall" });
    for (const what of ["verify", "ledger.sqlite"]) {
      expect((await fetch(`${running.url}${wall.path}/${what}`)).status, what).toBe(404);
      expect((await fetch(`${running.url}/seat/${"x".repeat(22)}/${what}`)).status, what).toBe(404);
    }
  });

  test("reads the ledger of a stopped server, and notes where its streams stand", async () => {
    stopped();
    expect(await garland("verify", "--data", data)).toMatchObject({ code: 0, err: "" });
    const ledger = await openLedger({ dir: data });
    const [noted] = await ledger.streams();
    expect(noted).toBeDefined();
    expect((await ledger.examine()).differences).toEqual([]);
    await ledger.close();
  });

  test("says each difference with its place and what to do, exits with 1, and leaves the file as it was", async () => {
    const ledger = await openLedger({ dir: data });
    const halt = {
      type: "HaltCalled",
      data: { type: "HaltCalled", at: 1, by: { seat: "s", kind: "coach" } },
      at: 1,
    };
    await ledger.append("bout/odd", 0, [halt], { id: "c-1", digest: "d" });
    const file = join(folder, "odd.sqlite");
    await ledger.backupTo(file);
    await ledger.close();
    const before = readFileSync(file);

    const { code, out } = await garland("verify", file);
    expect(code).toBe(1);
    expect(out).toBe(
      "1 bout, 1 event: 1 difference.\n\n" +
        "bout/odd, event 1: Event 1 does not call the bout odd.\n" +
        "  Keep this file aside as it is, and go on from the latest sound backup: garland restore FILE --replace.\n",
    );
    expect(readFileSync(file).equals(before)).toBe(true);
    expect(readdirSync(folder).sort()).toEqual(["odd.sqlite", "thursday"]);

    const json = await garland("verify", file, "--json");
    expect(json.code).toBe(1);
    expect((JSON.parse(json.out) as LedgerReport).differences).toMatchObject([
      { where: "bout/odd", version: 1 },
    ]);
  });

  test("says what it cannot do, in one sentence each, with exit code 2, and makes nothing", async () => {
    const letter = join(folder, "letter.txt");
    writeFileSync(letter, "Dear club, ".repeat(50));
    for (const [args, sentence] of [
      [["verify", "--data", data], /^garland: There is no ledger in .*: name its folder with --data/],
      [["verify", join(folder, "none")], /^garland: .*none: there is no such file\.\n$/],
      [
        ["verify", letter],
        /^garland: The file .*letter\.txt is not a sound Garland ledger: it is no SQLite file/,
      ],
      [["verify", letter, "--data", data], /^garland: Name one of a file, a data folder/],
      [["backup", join(folder, "copy"), "--data", data], /^garland: There is no ledger in/],
      [["backup", letter, "--data", data], /^garland: .*letter\.txt exists already: name another file/],
      [["restore", join(folder, "none"), "--data", data], /^garland: .*none: there is no such file\.\n$/],
    ] as const) {
      const said = await garland(...args);
      expect(said).toMatchObject({ code: 2, out: "" });
      expect(said.err, args.join(" ")).toMatch(sentence);
    }
    expect(readdirSync(folder)).toEqual(["letter.txt"]);
  });
});

describe("open.json", () => {
  test("lies beside the ledger for its owner only while the server runs", async () => {
    const server = await serving();
    expect(openedIn(data)).toEqual({ url: server.running.url, pid: process.pid });
    expect(statSync(join(data, "open.json")).mode & 0o777).toBe(0o600);
    await server.stop();
    expect(existsSync(join(data, "open.json"))).toBe(false);
  });

  test("of a server that crashed is passed over: the file is read", async () => {
    stopped();
    // A number above what the system gives to processes.
    writeFileSync(join(data, "open.json"), JSON.stringify({ url: "http://127.0.0.1:9", pid: 2 ** 22 + 1 }));
    expect(await garland("verify", "--data", data)).toMatchObject({ code: 0 });
  });

  test("the coach's secret goes to nobody who cannot prove to know it", async () => {
    stopped();
    const heard: string[] = [];
    const stranger: Server = createServer((request, response) => {
      heard.push(request.url ?? "");
      response.setHeader("content-type", "application/json").end('{"ok":true,"proof":"00"}');
    });
    await new Promise<void>((done) => stranger.listen(0, "127.0.0.1", done));
    after.push(() => void stranger.close());
    const address = stranger.address();
    const port = typeof address === "object" ? address?.port : 0;
    writeFileSync(
      join(data, "open.json"),
      JSON.stringify({ url: `http://127.0.0.1:${port}`, pid: process.pid }),
    );

    expect(await garland("verify", "--data", data)).toMatchObject({ code: 0 });
    const secret = readFileSync(join(data, "coach.seat"), "utf8").trim();
    expect(heard).toHaveLength(1);
    expect(heard.join("\n")).not.toContain(secret);
    expect(heard[0]).toMatch(/^\/open\//);
  });
});

describe("garland backup", () => {
  test("[W30] of a running server is whole while commands stream in, and everything acknowledged before is in it", async () => {
    const server = await serving();
    const { coach, bout } = await coachOf(server);
    const stop = new AbortController();
    let acknowledged = 0;
    const stream = (async () => {
      while (!stop.signal.aborted) {
        acknowledged += 1;
        const exchange = `s-${acknowledged}`;
        must(await coach.command({ bout }, { type: "RecordExchange", exchange, record: hit("red") }));
      }
    })();
    const files = ["one", "two", "three"].map((name) => join(folder, `${name}.garland`));
    for (const file of files) {
      const before = acknowledged - 1;
      const said = await garland("backup", file, "--data", data);
      expect(said).toMatchObject({ code: 0, err: "" });
      expect(said.out).toMatch(
        /^Backed up to .*\.garland\.\n5 bouts, \d+ events: all sound\.\nIt holds names and notes of 12 people: keep it as you keep a register of members\.\n$/,
      );
      expect(statSync(file).mode & 0o777).toBe(0o600);
      const copy = await openLedger({ file });
      const held = JSON.stringify(await copy.read(`bout/${bout}`));
      for (let n = 1; n <= before; n += 1) expect(held).toContain(`"s-${n}"`);
      expect((await verifyLedger(copy)).differences).toEqual([]);
      await copy.close();
    }
    stop.abort();
    await stream;
    expect(acknowledged).toBeGreaterThan(3);
    expect(readdirSync(data).filter((name) => name.includes("copy") || name.endsWith(".part"))).toEqual([]);
    expect(readdirSync(folder).filter((name) => name.endsWith(".part"))).toEqual([]);
  });

  test("of a stopped server, and never over another file", async () => {
    stopped();
    const file = join(folder, "copy.garland");
    expect(await garland("backup", file, "--data", data)).toMatchObject({ code: 0 });
    const before = readFileSync(file);
    expect(await garland("backup", file, "--data", data)).toMatchObject({ code: 2 });
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  test("an evening that is not in a file says so", async () => {
    const running = await startServer({
      ledger: await openLedger({ memory: true }),
      pages: plainPages,
      evening: true,
      log: { level: "silent" },
    });
    after.push(() => running.stop());
    const answer = await fetch(`${running.url}${running.coachPath}/ledger.sqlite`);
    expect(answer.status).toBe(409);
    expect(await answer.text()).toBe(
      "This evening is not kept in a file (memory): back it up where it is kept.\n",
    );
    const check = await fetch(`${running.url}${running.coachPath}/verify`);
    const last = (await check.text()).trim().split("\n").at(-1) ?? "";
    expect(JSON.parse(last)).toMatchObject({ report: { driver: "memory", bouts: 5, differences: [] } });
  });
});

describe("garland restore", () => {
  test("an evening scored, backed up while it runs, and restored elsewhere shows every view and tally as it was", async () => {
    const server = await serving();
    const { coach, bout } = await coachOf(server);
    must(
      await coach.command(
        { bout },
        { type: "RecordExchange", exchange: "last", record: hit("blue", "head") },
      ),
    );
    const file = join(folder, "thursday.garland");
    expect(await garland("backup", file, "--data", data)).toMatchObject({ code: 0 });
    const before = await coach.until(({ bouts }) => bouts[bout]?.order.includes("last"));
    const tallies = talliesOf(server);
    const seats = server.running.house.seats.all().filter(({ kind }) => kind !== "coach");
    const links = seats.map(({ id }) => server.running.house.seats.pathOf(id));
    await server.stop();

    const friday = join(folder, "friday");
    const said = await garland("restore", file, "--data", friday);
    expect(said).toMatchObject({ code: 0, err: "" });
    expect(said.out).toContain("The coach's link is made anew at the next start, which prints it.");
    const again = await serving(friday);
    const shown = await (
      await coachOf(again)
    ).coach.until(({ bouts }) => bouts[bout]?.order.includes("last"));
    expect(shown.bouts).toEqual(before.bouts);
    expect(shown.meet).toEqual(before.meet);
    expect(talliesOf(again)).toEqual(tallies);
    for (const [at, link] of links.entries()) {
      const page = await fetch(`${again.running.url}${link}`);
      expect(page.status, seats[at]?.kind).toBe(200);
    }
  });

  test("is refused while a server runs, and where a ledger lies, unless that is moved aside; then nothing is lost", async () => {
    const server = await serving();
    const file = join(folder, "early.garland");
    expect(await garland("backup", file, "--data", data)).toMatchObject({ code: 0 });
    const { coach, bout } = await coachOf(server);
    must(await coach.command({ bout }, { type: "RecordExchange", exchange: "later", record: hit("red") }));
    const running = await garland("restore", file, "--data", data, "--replace");
    expect(running).toMatchObject({
      code: 2,
      err: expect.stringMatching(/^garland: A Garland runs on .*: stop it first/),
    });
    await server.stop();

    const there = await garland("restore", file, "--data", data);
    expect(there).toMatchObject({
      code: 2,
      err: expect.stringMatching(/There is a ledger in .* already: add --replace/),
    });
    const { code, out } = await garland("restore", file, "--data", data, "--replace");
    expect(code).toBe(0);
    expect(out).toContain("The coach's link stays as it is.");
    const aside = /What lay there before is now (.*)\.\n/.exec(out)?.[1] ?? "";
    expect(aside).toMatch(/ledger\.sqlite\.replaced-\d{4}-\d\d-\d\d-\d{4}$/);
    const texts = await Promise.all(
      [aside, join(data, "ledger.sqlite")].map(async (each) => {
        const ledger = await openLedger({ file: each });
        const text = JSON.stringify(await ledger.read(`bout/${bout}`));
        await ledger.close();
        return text;
      }),
    );
    expect(texts.map((text) => text.includes('"later"'))).toEqual([true, false]);
  });

  test("a backup that is not sound is told and not restored, but for those who have no better one", async () => {
    stopped();
    const file = join(folder, "flipped.garland");
    expect(await garland("backup", file, "--data", data)).toMatchObject({ code: 0 });
    const bytes = readFileSync(file);
    const at = bytes.indexOf("lent mask");
    bytes.writeUInt8(bytes.readUInt8(at) ^ 1, at);
    writeFileSync(file, bytes);
    const friday = join(folder, "friday");
    const refused = await garland("restore", file, "--data", friday);
    expect(refused).toMatchObject({ code: 1 });
    expect(refused.out).toMatch(/is not sound, and nothing was restored\..*was changed by another hand/s);
    expect(existsSync(friday)).toBe(false);
    expect(await garland("restore", file, "--data", friday, "--anyway")).toMatchObject({ code: 0 });
    expect(existsSync(join(friday, "ledger.sqlite"))).toBe(true);
  });

  test("a log that a crash left beside the old ledger is moved with it, never read into the restored one", async () => {
    stopped();
    const file = join(folder, "copy.garland");
    expect(await garland("backup", file, "--data", data)).toMatchObject({ code: 0 });
    const ledger = join(data, "ledger.sqlite");
    writeFileSync(ledger, "This is a letter, not a ledger.\n".repeat(200));
    writeFileSync(`${ledger}-wal`, "and this is its end");
    expect(await garland("restore", file, "--data", data, "--replace")).toMatchObject({ code: 0 });
    const names = readdirSync(data);
    expect(names).not.toContain("ledger.sqlite-wal");
    expect(names.filter((name) => name.endsWith("-wal"))).toHaveLength(1);
    expect(await garland("verify", "--data", data)).toMatchObject({ code: 0 });
  });
});
