/** Frames: what every seat was ever sent, and what could be told from it; then everything else that leaves the server. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { ask, page } from "./support/line.ts";
import { SECRETS, tell, WATCHERS, type Secrets, type Told, type Watcher } from "./support/twins.ts";

const SEEDS = process.env["LONG"] === "1" ? Array.from({ length: 30 }, (_, i) => i + 1) : [1];

async function evening(seed: number, secrets: Secrets = SECRETS): Promise<Told> {
  const told = await tell(seed, secrets);
  // A story that did nothing would prove nothing.
  expect(told.done, `seed ${seed}`).toBeGreaterThan(25);
  return told;
}

/** One secret, what else it could have been, and who may know which it is. */
const TWINS: readonly (readonly [what: string, other: Partial<Secrets>, mayKnow: readonly Watcher[]])[] = [
  ["[W5] a sealed choice", { choice: "head" }, ["red"]],
  ["[W6] what a judge voted, while others have not", { vote: "no hit" }, ["judge 1"]],
  ["[W6] whether a judge has voted: it is counted", { vote: "not yet" }, ["coach", "table", "judge 1"]],
  ["[W8] a health note", { health: "Zqotherzq knee" }, ["coach", "red"]],
  ["[W8] a gear note", { gear: "zqothergearzq mask" }, ["coach", "table", "red"]],
  ["[W4] a full name", { fullName: "Mira Zqanotherzq" }, ["coach", "table", "red"]],
];

/** What was planted, and may stand on no page but Red's own. */
const PLANTED = ["Zqhealthzq", "Zqfullnamezq", "zqgearzq", "zqvotezq"] as const;
const HOUSE_SECRET = "5a".repeat(32);

describe.each(SEEDS)("seed %i", (seed) => {
  let told: Told;
  beforeAll(async () => {
    told = await evening(seed);
  });
  afterAll(() => told.close());

  const seats = () => told.hall.running.house.seats;
  const pathOf = (name: Watcher): string =>
    seats().pathOf(told.devices.get(name)?.view.seat ?? "") ?? "no path";
  /** Every seat's secret and its hash. */
  const ofSeats = (): readonly string[] =>
    seats()
      .all()
      .flatMap(({ id, secretHash }) => [secretHash, (seats().pathOf(id) ?? "no path").replace("/seat/", "")]);
  const heardBy = (name: Watcher): string => told.devices.get(name)?.heard ?? "";
  /** Who was ever sent this text. */
  const whoHeard = (text: string): readonly Watcher[] =>
    WATCHERS.filter((name) => heardBy(name).includes(text));
  const get = async (path: string): Promise<string> => {
    const answer = await ask(told.hall.running.port, page(path, "Host: localhost"));
    return JSON.stringify(answer.headers) + answer.text;
  };

  async function whoDiffersFrom(other: Secrets): Promise<readonly Watcher[]> {
    const twin = await evening(seed, other);
    await twin.close();
    const all = (one: Told, name: Watcher): string => (one.frames.get(name) ?? []).join("\n");
    return WATCHERS.filter((name) => all(told, name) !== all(twin, name));
  }

  test("the same evening twice is the same to everybody", async () => {
    expect(await whoDiffersFrom(SECRETS)).toEqual([]);
  });

  test.each(TWINS)(
    "%s: [W11] nobody else is sent anything else, sooner, or oftener",
    async (_, other, mayKnow) => {
      expect(await whoDiffersFrom({ ...SECRETS, ...other })).toEqual(mayKnow);
    },
  );

  test("[W7] a judge is sent nothing of what pays", () => {
    for (const name of ["judge 1", "judge 2", "referee", "other judge"] as const) {
      expect(heardBy(name)).not.toContain('"unit":"bonus"');
      expect(heardBy(name)).not.toMatch(/\d bonus/);
    }
    expect(whoHeard('"unit":"bonus"')).toEqual(["coach", "red", "blue", "wall"]);
  });

  test("[W3] nobody is sent a seat's hash, and nobody but the coach a link", () => {
    const links = WATCHERS.map(pathOf).map((path) => path.replace("/seat/", ""));
    for (const link of links) expect(whoHeard(link)).toEqual(["coach"]);
    for (const { secretHash } of seats().all()) expect(whoHeard(secretHash)).toEqual([]);
    expect(whoHeard(HOUSE_SECRET)).toEqual([]);
  });

  test("pages say no more than the frames", async () => {
    for (const name of WATCHERS) {
      const text = await get(pathOf(name));
      const own: readonly string[] = name === "red" ? ["Zqhealthzq", "Zqfullnamezq", "zqgearzq"] : [];
      const found = [...PLANTED, ...ofSeats()].filter((token) => text.includes(token));
      expect(found, `${name}'s page`).toEqual(own);
    }
  });

  test("health, the look, errors, refused sockets and the log at its loudest say nothing of anybody", async () => {
    const log = told.log.join("");
    expect(log.length).toBeGreaterThan(1_000);
    const texts = [
      await get("/health"),
      await get("/metrics"),
      await get("/style"),
      await get("/nothing"),
      await get("/seat/AAAAAAAAAAAAAAAAAAAAAA"),
      await get("/socket.io/?EIO=4&transport=polling"),
      log,
    ];
    for (const text of texts)
      expect(
        [...PLANTED, ...ofSeats(), HOUSE_SECRET, "Mira"].filter((token) => text.includes(token)),
      ).toEqual([]);
  });

  test("the coach's file holds names and notes, and opens no seat; it is nobody else's", async () => {
    const file = await get(`${told.hall.running.coachPath}/evening.json`);
    expect(file).toContain("Zqhealthzq");
    expect([...ofSeats(), HOUSE_SECRET].filter((secret) => file.includes(secret))).toEqual([]);
    for (const name of WATCHERS)
      if (name !== "coach") expect(await get(`${pathOf(name)}/evening.json`)).not.toContain("Zqhealthzq");
  });

  test("[W27] no seed is sent before the end; then the one that was promised", async () => {
    const before = WATCHERS.map(heardBy);
    await told.end();
    const shown = [...heardBy("wall").matchAll(/"seed":"([^"]+)"/g)].map(([, seen = ""]) => seen);
    expect(shown.length).toBeGreaterThan(0);
    for (const heard of before) expect(shown.filter((seen) => heard.includes(seen))).toEqual([]);
  });
});
