/** [W34] What people write: how long it may be, what may stand in it, and with which words it is refused. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { paintPages, type Assets } from "../../table-ui/screens/paint/page.ts";
import type { BoutCommand, MeetCommand } from "../../engine/index.ts";
import type { CoachAnswer } from "../../table-ui/wire/messages.ts";
import { hit, openTestHall, setTheStage, type Stage, type TestHall } from "../table-ui/server/hall.ts";
import { WRITTEN } from "./support/hostile-evening.ts";

let hall: TestHall;
let stage: Stage;
beforeAll(async () => {
  hall = await openTestHall({ limits: { burst: Infinity, patience: Infinity } });
  stage = await setTheStage(hall);
});
afterAll(() => hall.close());

/** Everything that somebody writes, how long it may be, and the message in which it comes. */
const WHERE: Readonly<Record<string, readonly [most: number, send: (text: string) => Promise<unknown>]>> = {
  "a fencer's name": [
    80,
    (name) => hall.coach.coach({ ask: "add fencer", name, shortName: "", consents: [] }),
  ],
  "a short name": [
    40,
    (shortName) => hall.coach.coach({ ask: "add fencer", name: "Kit Marlow", shortName, consents: [] }),
  ],
  "a consent": [
    80,
    (each) => hall.coach.coach({ ask: "add fencer", name: "Kit", shortName: "", consents: [each] }),
  ],
  "an evening's name": [80, (name) => meet({ type: "OpenEvening", name })],
  "its end": [80, (until) => meet({ type: "OpenEvening", name: "An evening", until })],
  "a ring's name": [80, (name) => meet({ type: "AddRing", ring: "r1", name })],
  "a team": [80, (team) => meet({ type: "SetFencer", person: "nobody", facts: { team } })],
  "a device": [80, (device) => meet({ type: "TakePen", ring: "r9", device })],
  "a reason": [300, (why) => bout({ type: "Reopen", why })],
  "why it was put right": [
    300,
    (why) => bout({ type: "ChangeExchange", exchange: "x1", record: hit("red"), why }),
  ],
  "a vote's label": [80, (label) => bout({ type: "Vote", exchange: "x1", facts: [], label })],
  "a pick": [80, (pick) => bout({ type: "SetPick", pick, value: "a" })],
  "a value": [80, (value) => bout({ type: "SetPick", pick: "a", value })],
};
const meet = (command: MeetCommand) => hall.coach.command("meet", command);
const bout = (command: BoutCommand) => stage.table.command({ bout: stage.bout }, command);

const said = async (answer: Promise<unknown>): Promise<string> => {
  const given = (await answer) as CoachAnswer;
  return given.ok || given.refusal.refused !== "bad-message" ? "taken in" : given.refusal.sentence;
};

describe.each(Object.entries(WHERE))("[W34] %s", (_, [most, send]) => {
  test("may look like markup, and hold any letters", async () => {
    const fits = [
      ...Object.values(WRITTEN),
      "\u202f",
      "\ud83d\udc69\u200d\ud83d\udc67",
      "\u05e9\u05dc\u05d5\u05dd",
    ]
      .filter((text) => text.length <= most && text !== "\u202f")
      .concat("x".repeat(most));
    expect(fits.length).toBeGreaterThan(8);
    for (const text of fits) expect(await said(send(text)), text).toBe("taken in");
  });

  test.each([
    ["is too long", (n: number) => "x".repeat(n + 1), /must have at most \d+ characters/],
    ["is 64 kB long", () => "x".repeat(64_000), /must have at most \d+ characters/],
    ["holds a control character", () => "a\u0000b", /must not hold control characters/],
    ["holds a line end", () => "a\nb", /must not hold control characters/],
    ["holds half a character", () => "a\ud800b", /must not hold control characters/],
    ["turns the direction", () => "gnp\u202egood", /must not hold marks that turn the direction of writing/],
    ["isolates", () => "a\u2067b", /must not hold marks that turn the direction of writing/],
    ["shows nothing", () => " \u200b\u2060\ufeff ", /must hold something that can be seen/],
  ] as const)("is refused where it %s", async (_what, text, why) => {
    expect(await said(send(text(most)))).toMatch(why);
  });
});

test("[W34] a rule set's own names are held to their length and to one direction", async () => {
  const save = (name: string) =>
    hall.coach.coach({ ask: "save rule set", text: `name: "${name}"\ntouches:\n  I hit: 1\n` });
  expect((await save("x".repeat(200))).ok).toBe(true);
  for (const [name, why] of [
    ["x".repeat(201), /cannot be a name/],
    ["x".repeat(60_000), /cannot be a name/],
    ["Night\u202e gnidliug", /hidden marks that turn the direction of writing/],
  ] as const) {
    const answer = await save(name);
    expect(answer.ok).toBe(false);
    expect(JSON.stringify(answer)).toMatch(why);
  }
});

test("[W34] whatever is in the title of a page is text", () => {
  const files = { preload: [], styles: [] };
  const entries = ["fencer", "wall", "judge", "coach", "table", "style", "type"] as const;
  const assets: Assets = {
    ...(Object.fromEntries(entries.map((each) => [each, files])) as unknown as Assets),
    icon: "/icon.svg",
  };
  for (const text of Object.values(WRITTEN)) {
    const page = paintPages(assets).app("table", text);
    expect(page).not.toMatch(/<(?:script>|img|svg|iframe|zq-el|details|a |style>|b>)/);
    expect(page.match(/<title>(.*?)<\/title>/)?.[1]).not.toMatch(/[<>"]/);
  }
});
