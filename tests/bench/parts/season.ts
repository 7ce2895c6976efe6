/**
 * A season's ledger: evenings of bouts that the server's own house has decided once, written again week after week with
 * other ids and times. Every event is one that `decide` gave; only the writing is faster than fencing.
 */
import { openLedger, type NewEvent, type StoredEvent } from "../../../engine/ledger/open.ts";
import { exchangeNo } from "./crowd.ts";
import { openTwoRings, PEOPLE } from "../../support/two-rings.ts";
import { SETS } from "../../../rules/index.ts";

const BOUTS_AN_EVENING = 50;
const EXCHANGES = 10;
const WEEK_MS = 7 * 24 * 3_600_000;
/** Numbers from here on are server times (2017), smaller ones are not. */
const TIMES_FROM = 1_500_000_000_000;

interface Template {
  readonly opening: readonly StoredEvent[];
  readonly evening: readonly StoredEvent[];
  readonly bouts: readonly (readonly StoredEvent[])[];
  readonly text: string;
  readonly hash: string;
}

/** One evening, command by command, in a ledger in memory. */
async function fenceAnEvening(): Promise<Template> {
  const text = SETS.find(({ id }) => id === "answer-from-above")?.text ?? "";
  const ledger = await openLedger({ memory: true });
  const hall = await openTwoRings(text, ledger);
  const opening = await ledger.read("meet");
  for (let no = 0; no < BOUTS_AN_EVENING; no += 1) {
    const bout = `bout~${no}`;
    const [red, blue] = [PEOPLE[no % 4] ?? "mira", PEOPLE[(no + 1 + (no % 3)) % 4] ?? "teo"];
    await hall.call(bout, red, blue, `r${(no % 2) + 1}`);
    await hall.say(bout, { type: "ConfirmCheck" });
    await hall.say(bout, { type: "ComeOnGuard" });
    for (let exchange = 1; exchange <= EXCHANGES; exchange += 1)
      for (const command of exchangeNo(exchange)) await hall.say(bout, command);
    const { red: r, blue: b } = hall.bout(bout).tally.points;
    const byScore = await hall.give(bout, { type: "EndBout" });
    const ending = r === b ? "draw" : r > b ? "red wins" : "blue wins";
    if (!byScore.ok) await hall.say(bout, { type: "EndBout", ending });
    await hall.say(bout, { type: "ConfirmResult" });
  }
  for (const ring of ["r1", "r2"]) await hall.say("meet", { type: "ClearRing", ring });
  await hall.rest();
  const bouts = Array.from({ length: BOUTS_AN_EVENING }, (_, no) => ledger.read(`bout/bout~${no}`));
  const evening = await ledger.read("meet", opening.length);
  const file = hall.house.shelf.get(hall.bout("bout~0").ruleSet);
  return {
    opening,
    evening,
    bouts: await Promise.all(bouts),
    text: file?.text ?? "",
    hash: file?.hash ?? "",
  };
}

/** The same value in another week: bouts have other names, numbers and times. */
function inWeek(week: number, value: unknown): unknown {
  if (typeof value === "string") return value.startsWith("bout~") ? `w${week}-${value}` : value;
  if (typeof value === "number") return value > TIMES_FROM ? value + week * WEEK_MS : value;
  if (Array.isArray(value)) return value.map((each) => inWeek(week, each));
  if (typeof value !== "object" || value === null) return value;
  const entries = Object.entries(value).map(([key, each]) =>
    key === "no" && "bout" in value && typeof each === "number"
      ? ([key, each + week * BOUTS_AN_EVENING] as const)
      : ([key, inWeek(week, each)] as const),
  );
  return Object.fromEntries(entries);
}

const again = (week: number, { type, at, data }: StoredEvent): NewEvent => ({
  type,
  at: at + week * WEEK_MS,
  data: inWeek(week, data),
});

/** Writes a season of this many bouts (whole evenings) into a folder's ledger. Gives its bytes of events as JSON. */
export async function writeSeason(dir: string, bouts: number): Promise<{ events: number }> {
  const { opening, evening, bouts: fenced, text, hash } = await fenceAnEvening();
  const ledger = await openLedger({ dir });
  const digest = "0".repeat(64);
  let events = 0;
  async function append(
    stream: string,
    expected: number,
    fresh: readonly NewEvent[],
    id: string,
  ): Promise<void> {
    const result = await ledger.append(stream, expected, fresh, { id, digest });
    if (result.outcome !== "appended") throw new Error(`the season's ${stream} was ${result.outcome}`);
    events += fresh.length;
  }
  await ledger.putRuleSet({ hash, text });
  for (const [id, name] of peopleIn(opening))
    await ledger.putPerson({ id, name, shortName: name, notes: "", consents: [], erased: false });
  await append(
    "meet",
    0,
    opening.map((event) => again(0, event)),
    "season-opening",
  );
  for (let week = 0; week * BOUTS_AN_EVENING < bouts; week += 1) {
    const meet = evening.map((event) => again(week, event));
    await append("meet", opening.length + week * evening.length, meet, `season-${week}`);
    for (const [no, stream] of fenced.entries()) {
      const fresh = stream.map((event) => again(week, event));
      await append(`bout/w${week}-bout~${no}`, 0, fresh, `season-${week}-${no}`);
    }
  }
  await ledger.close();
  return { events };
}

/** Who came: ids from the evening's events, with invented names. */
function peopleIn(opening: readonly StoredEvent[]): readonly (readonly [string, string])[] {
  return opening.flatMap(({ type, data }) =>
    type === "FencerAdded" ? [[(data as { person: string }).person, "Fencer of the season"] as const] : [],
  );
}
