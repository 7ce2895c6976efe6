import { mkdtempSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { forget, garland, openHall } from "../support/hall.ts";

const SET = "rules/sets/answer-from-above.yaml";
const folder = mkdtempSync(join(tmpdir(), "garland-cli-"));
const file = (name: string, text: string): string => {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
};

async function run(
  ...args: readonly string[]
): Promise<{ readonly said: string; readonly code: number | null }> {
  const { said, left } = garland(args);
  const code = await left;
  return { said: said(), code };
}

describe("garland check", () => {
  test("says that a rule set is in order, and exits with 0", async () => {
    expect(await run("check", SET)).toEqual({
      said: expect.stringContaining('"Answer from above" is in order'),
      code: 0,
    });
  });

  test("names every fault as file:line:column with the line and a caret, and exits with 1", async () => {
    const path = file(
      "bad.yaml",
      "name: Bad\ntouches:\n  I hit the haed: 1\nrules:\n  - name: X\n    when: I ripost and hit\n    pays: 2 to me\n",
    );
    const { said, code } = await run("check", path);
    expect(code).toBe(1);
    expect(said).toMatch(/bad\.yaml:3:13: "haed" is not a word I know here\. Did you mean "head"\?/);
    expect(said).toMatch(/bad\.yaml:6:13: "ripost"/);
    expect(said).toMatch(/bad\.yaml:7:\d+: .*bonus/);
    expect(said).toMatch(/\n\s+\^/);
  });
});

describe("garland score --json", () => {
  test("prints one object with the tally, the awards and their sentences", async () => {
    const sheet = file(
      "one.sheet",
      "1 B descending cut head, R parry, R riposte torso ! .\n2 R cut head !\nend\n",
    );
    const { said, code } = await run("score", SET, sheet, "--json");
    expect(code).toBe(0);
    const tally = JSON.parse(said) as Record<string, unknown>;
    expect(tally).toMatchObject({
      points: { red: 5, blue: 0 },
      bonus: { red: 2, blue: 1 },
      warned: { red: 0, blue: 0 },
      marks: {},
      ended: "red wins",
    });
    expect(tally["open"]).toBeGreaterThan(0);
    expect(tally["questions"]).toEqual(expect.arrayContaining([expect.stringMatching(/^Exchange 2/)]));
    expect(tally["awards"]).toContainEqual(
      expect.objectContaining({
        exchange: 1,
        to: "red",
        rule: "Parry, then riposte",
        unit: "bonus",
        amount: 2,
        sentence: expect.any(String),
      }),
    );
  });

  test("reads JSON Lines as well", async () => {
    const lines = file(
      "one.jsonl",
      '{"type":"exchange","no":1,"acts":[{"by":"blue","form":"cut","direction":"descending","target":"head"},{"by":"red","kind":"parry"},{"by":"red","kind":"riposte","target":"torso","end":"hit","source":"j1"}],"open":false}\n',
    );
    const { said } = await run("score", SET, lines, "--json");
    expect(JSON.parse(said)).toMatchObject({
      points: { red: 2, blue: 0 },
      bonus: { red: 2, blue: 1 },
      open: 0,
      ended: null,
    });
  });
});

describe("what cannot be done is one clear line and exit code 2", () => {
  test.each([
    [["check", "nowhere.yaml"], /^garland: nowhere\.yaml: there is no such file\.$/],
    [["score", SET, "nowhere.sheet"], /^garland: nowhere\.sheet: there is no such file\.$/],
    [["score", SET], /^garland: missing required argument 'bout'$/],
    [["explain", "--loud", SET], /^garland: unknown option '--loud'$/],
    [["sing"], /^garland: unknown command 'sing'$/],
    [["serve", "9000"], /^garland: "9000" is not understood here\. .*npm start -- --port 9000/],
    [["serve", "--port", "many"], /^garland: .*a port is a whole number/],
    [["serve", "--data", "/dev/null/x", "--port", "0"], /^garland: .*data folder/i],
  ] as const)("garland %j", async (args, sentence) => {
    const { said, code } = await run(...args);
    expect(said.trim()).toMatch(sentence);
    expect(said.trim().split("\n")).toHaveLength(1);
    expect(code).toBe(2);
  });

  test("every command has --help with an example", async () => {
    for (const command of ["serve", "check", "explain", "score"]) {
      const { said, code } = await run(command, "--help");
      expect(code).toBe(0);
      expect(said).toMatch(/Example:\n\s+npm /);
    }
  });
});

describe("garland serve", () => {
  test("a second process on the same ledger is refused, a taken port too; the first goes on and ends in good order", async () => {
    const hall = await openHall();
    const second = await run("serve", "--data", hall.data, "--port", "0");
    expect(second).toEqual({ said: expect.stringMatching(/^garland: .+\.\n$/), code: 2 });
    const other = mkdtempSync(join(tmpdir(), "garland-"));
    const taken = await run("serve", "--data", other, "--port", String(hall.port));
    expect(taken.said).toMatch(new RegExp(`^garland: Port ${hall.port} is taken`));
    expect(taken.code).toBe(2);
    expect((await fetch(`http://127.0.0.1:${hall.port}/health`)).status).toBe(200);
    expect(await hall.stop()).toBe(0);
    forget(hall);
  });

  test("a second start goes on with the same data and the same coach's link", async () => {
    const first = await openHall();
    await first.stop();
    const again = await openHall({ data: first.data });
    expect(again.coach.split("/seat/")[1]).toBe(first.coach.split("/seat/")[1]);
    await again.stop();
    forget(again);
  });

  test("a ledger that is no ledger is left as it is", async () => {
    const dir = mkdtempSync(join(tmpdir(), "garland-"));
    writeFileSync(join(dir, "ledger.sqlite"), "my shopping list, longer than a page\n".repeat(100));
    const { said, code } = await run("serve", "--data", dir, "--port", "0");
    expect(said).toMatch(/^garland: /);
    expect(code).toBe(2);
  });

  test("a port is free again after a stop", async () => {
    const hall = await openHall();
    await hall.stop();
    const server = createServer();
    await new Promise<void>((done, failed) =>
      server.once("error", failed).listen(hall.port, "127.0.0.1", done),
    );
    server.close();
    forget(hall);
  });
});
