/**
 * Messages that must be refused, by the thousand and always the same ones for the same seed: valid ones spoilt in one
 * place, valid ones from the wrong seat, at the wrong time, with the wrong pen, again, and what was never a message.
 */
import {
  checkCoachRequest,
  checkSent,
  checkTimeAsked,
  checkViewAsked,
} from "../../../table-ui/wire/checks.ts";
import { chance } from "../../support/mutate.ts";
import { BOUT_COMMANDS, MEET_COMMANDS, SERVERS_OWN } from "./commands.ts";
import { JUNK, STRANGE_EVENTS, STRANGE_KEYS } from "./junk.ts";

/** Whose device sends it. */
export type From = "coach" | "table" | "judge" | "fencer" | "wall";

export interface Shot {
  readonly from: From;
  readonly event: string;
  /** The text of the arguments. */
  readonly args: string;
  /** What must come back; silent: there is no answer's address. */
  readonly expect: "refused" | "repeated" | "silent";
}

/** What the generator must know of the hall that it shoots at. */
export interface Target {
  /** A bout that is halted with exchange x1 on record, on the table's ring. */
  readonly bout: string;
  /** A bout that has ended, on the same ring. */
  readonly ended: string;
  readonly pen: { readonly epoch: number; readonly seq: number };
  /** Commands of the table that the server has carried out, as they were sent. */
  readonly done: readonly (object & { readonly id: string })[];
}

type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };
type Random = () => number;

const pick = <T>(random: Random, from: readonly T[]): T => {
  const found = from[Math.floor(random() * from.length)];
  if (found === undefined) throw new Error("nothing to pick from");
  return found;
};

/** Stands in a value for text that is put in after it was written out. */
const HOLE = "@@hole@@";

/** Every place in a value, as the keys that lead to it. */
function placesIn(value: Json, path: readonly string[] = []): readonly (readonly string[])[] {
  if (typeof value !== "object" || value === null) return [path];
  return [path, ...Object.entries(value).flatMap(([key, inner]) => placesIn(inner as Json, [...path, key]))];
}

/** The value with the one at `path` changed; undefined takes it away. */
function changed(
  value: Json,
  path: readonly string[],
  change: (at: Json) => Json | undefined,
): Json | undefined {
  const [key, ...rest] = path;
  if (key === undefined) return change(value);
  const entries = Object.entries(value as Record<string, Json>).flatMap(([each, inner]): [string, Json][] => {
    const next = each === key ? changed(inner, rest, change) : inner;
    return next === undefined ? [] : [[each, next]];
  });
  return Array.isArray(value) ? entries.map(([, inner]) => inner) : (Object.fromEntries(entries) as Json);
}

/** JSON text of the value with one part of it spoilt. */
function spoilt(random: Random, value: Json): string {
  const path = pick(random, placesIn(value));
  const way = random();
  const filled = (next: Json | undefined, junk: string): string =>
    (JSON.stringify(next) ?? "null").replaceAll(`"${HOLE}"`, () => junk);
  if (way < 0.6)
    return filled(
      changed(value, path, () => HOLE),
      pick(random, JUNK),
    );
  if (way < 0.75)
    return filled(
      changed(value, path, () => undefined),
      "",
    );
  const key = pick(random, STRANGE_KEYS);
  const more = (at: Json): Json =>
    typeof at === "object" && at !== null && !Array.isArray(at)
      ? (Object.fromEntries([...Object.entries(at), [key, HOLE]]) as Json)
      : [at];
  return filled(changed(value, path, more), pick(random, JUNK));
}

const bouts = Object.values(BOUT_COMMANDS);
const meets = Object.values(MEET_COMMANDS);

const COACH_REQUESTS: readonly Json[] = [
  { ask: "read rule set", text: "name: A\n" },
  { ask: "save rule set", text: "name: A\n" },
  { ask: "add fencer", name: "Ada Example", shortName: "Ada E.", consents: ["full name on walls"] },
  { ask: "erase fencer", person: "p9" },
  { ask: "issue seat", kind: "judge", ring: "r9", judge: 2, referee: true },
  { ask: "reissue seat", seat: "no-such-seat" },
  { ask: "revoke seat", seat: "no-such-seat" },
  { ask: "call bout", bout: "no-such-bout" },
  { ask: "try", text: "name: A\n", sheet: "1 R cut head ! .\n" },
];

/** Commands of the table that the stage of the bout forbids while it is halted. */
const NOT_NOW = ["ConfirmCheck", "CallHalt", "Resume", "ConfirmResult", "Reopen", "CallBout"] as const;
/** What a bout that has ended takes no more. */
const NOT_AFTER = ["StartFencing", "CallHalt", "SetClock", "Pause", "Resume", "Stop", "Forfeit"] as const;

const parsed = (text: string): unknown => JSON.parse(text) as unknown;

/** One source of shots after the other; each says where its shots come from and why they must be refused. */
export function* shots(seed: number, target: Target): Generator<Shot, never> {
  const random = chance(seed);
  let count = 0;
  const { bout, ended, pen } = target;
  const fresh = (): string => `hostile-${seed}-${(count += 1)}`;
  const sent = (command: object, on: object | "meet" = { bout }, more: object = {}): Json =>
    ({ id: fresh(), on, pen, at: 1_900_000_000_000, command, ...more }) as Json;
  const command = (from: From, message: Json): Shot => ({
    from,
    event: "command",
    args: JSON.stringify(message),
    expect: "refused",
  });

  /** Spoilt in one place; where the door lets it pass all the same, a wall sends it, which may do nothing. */
  const spoiltCommand = (): Shot => {
    const onMeet = random() < 0.3;
    const args = spoilt(random, onMeet ? sent(pick(random, meets), "meet") : sent(pick(random, bouts)));
    const from = checkSent(parsed(args)).ok
      ? "wall"
      : pick(random, ["table", "coach", "judge", "fencer"] as const);
    return { from, event: "command", args, expect: "refused" };
  };
  const spoiltCoach = (): Shot => {
    const args = spoilt(random, pick(random, COACH_REQUESTS));
    const from = checkCoachRequest(parsed(args)).ok ? "table" : "coach";
    return { from, event: "coach", args, expect: "refused" };
  };
  const spoiltAsking = (): Shot => {
    const event = pick(random, ["view", "time"] as const);
    const args = pick(random, JUNK);
    const check = event === "view" ? checkViewAsked : checkTimeAsked;
    const passes = check(parsed(args)).ok;
    return {
      from: pick(random, ["wall", "fencer"] as const),
      event,
      args,
      expect: passes ? "silent" : "refused",
    };
  };
  const wrongSeat = (): Shot =>
    random() < 0.5
      ? command(pick(random, ["wall", "fencer"] as const), sent(pick(random, meets), "meet"))
      : command("wall", sent(pick(random, bouts)));
  const wrongPen = (): Shot => {
    const epoch = pick(random, [0, pen.epoch - 1, pen.epoch + 1, 9_007_199_254_740_991]);
    const seq = Math.floor(random() * 1_000);
    const wrong =
      random() < 0.2
        ? { pen: { epoch: seq, seq: pen.epoch + 9 } }
        : { pen: { epoch: Math.max(0, epoch), seq } };
    if (wrong.pen.epoch === pen.epoch) return wrongSeat();
    return command("table", sent(pick(random, bouts), { bout }, wrong));
  };
  const noSuchBout = (): Shot => {
    const on = {
      bout: pick(random, ["nowhere", "toString", "hasOwnProperty", `b${Math.floor(random() * 1e6)}`]),
    };
    return command(
      pick(random, ["table", "coach", "judge", "fencer"] as const),
      sent(pick(random, bouts), on),
    );
  };
  const wrongTime = (): Shot =>
    random() < 0.5
      ? command("table", sent(BOUT_COMMANDS[pick(random, NOT_NOW)]))
      : command("table", sent(BOUT_COMMANDS[pick(random, NOT_AFTER)], { bout: ended }));
  const again = (): Shot => {
    const one = pick(random, target.done);
    if (random() < 0.5) return { ...command("table", one as unknown as Json), expect: "repeated" };
    // [W15] The same id with another command, whether or not that one could be carried out.
    const other = pick(random, [BOUT_COMMANDS.Stop, BOUT_COMMANDS.Resume]);
    return command("table", sent(other, { bout }, { id: one.id }));
  };
  const unheard = (): Shot => {
    const args = random() < 0.3 ? "" : pick(random, JUNK);
    if (random() < 0.4)
      return { from: "table", event: pick(random, STRANGE_EVENTS), args, expect: "refused" };
    const message = JSON.stringify(sent({ type: "Stop", why: "without an answer" }));
    if (random() < 0.5) return { from: "table", event: "command", args: message, expect: "silent" };
    return { from: "table", event: "command", args: `${message},${args || "1"}`, expect: "refused" };
  };
  const serversOwn = (): Shot =>
    command(
      "coach",
      sent(
        { type: pick(random, SERVERS_OWN), granted: [], bout, claims: [] },
        pick(random, ["meet", { bout }]),
      ),
    );

  const sources: readonly (readonly [number, () => Shot])[] = [
    [0.45, spoiltCommand],
    [0.57, spoiltCoach],
    [0.62, spoiltAsking],
    [0.69, wrongSeat],
    [0.76, wrongPen],
    [0.82, noSuchBout],
    [0.88, wrongTime],
    [0.94, again],
    [0.98, unheard],
    [1, serversOwn],
  ];
  for (;;) {
    const at = random();
    const source = sources.find(([below]) => at < below)?.[1] ?? spoiltCommand;
    yield source();
  }
}
