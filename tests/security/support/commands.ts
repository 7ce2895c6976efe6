/** One command for every row of matrix.yaml, such as somebody who may give it would have it carried out. */
import type { BoutCommand, MeetCommand } from "../../../engine/index.ts";
import type { CoachRequest } from "../../../table-ui/wire/messages.ts";
import { hit } from "../../table-ui/server/hall.ts";
import { BOUT, FREE_RING, WAITING, type Evening } from "./evening.ts";

type Known = Pick<Evening, "people" | "ruleSets">;
type Make<C> = C | ((known: Known) => C);

const call = { fact: "call", call: { call: "praise", for: "red", value: 1 } } as const;
const end = { fact: "end", act: "a1", end: "no hit" } as const;

/** The kind of a row is its name up to the first comma; what follows tells rows of one kind apart. */
export const kindOf = (row: string): string => row.split(",")[0] ?? "";

export const IN_BOUT: Readonly<Record<string, Make<BoutCommand>>> = {
  CallBout: ({ people, ruleSets }) => ({
    type: "CallBout",
    bout: BOUT,
    no: 9,
    ring: "r1",
    red: people.red,
    blue: people.blue,
    ruleSet: ruleSets.inForce,
  }),
  ConfirmCheck: { type: "ConfirmCheck" },
  ComeOnGuard: { type: "ComeOnGuard" },
  StartFencing: { type: "StartFencing" },
  CallHalt: { type: "CallHalt" },
  SetClock: { type: "SetClock", leftMs: 61_000 },
  RecordExchange: { type: "RecordExchange", exchange: "x9", record: hit("blue") },
  ChangeExchange: { type: "ChangeExchange", exchange: "x1", record: hit("blue") },
  InsertExchange: { type: "InsertExchange", exchange: "x0", after: "start", record: hit("blue") },
  RemoveExchange: { type: "RemoveExchange", exchange: "x1" },
  SwapFencers: { type: "SwapFencers" },
  ChangeRuleSet: ({ ruleSets }) => ({ type: "ChangeRuleSet", ruleSet: ruleSets.another }),
  "GiveFacts, what was seen": { type: "GiveFacts", exchange: "x1", facts: [end] },
  "GiveFacts, a value": { type: "GiveFacts", exchange: "x1", facts: [call] },
  "GiveFacts, Blue was not hit": { type: "GiveFacts", exchange: "x1", facts: [end] },
  Vote: { type: "Vote", exchange: "x1", facts: [end], label: "No hit" },
  "SetPick, Red's own": { type: "SetPick", pick: "secret target", side: "red", value: "leg" },
  "SetPick, drawn by hand": { type: "SetPick", pick: "luck", value: "pays", drawn: "by hand" },
  DrawPick: { type: "DrawPick", pick: "luck" },
  Assent: { type: "Assent", exchange: "x1", call: "praise", side: "red" },
  AnswerClaims: { type: "AnswerClaims", granted: [] },
  GivePenalty: { type: "GivePenalty", side: "red", penalty: "warning", why: "stepped out" },
  Undo: { type: "Undo" },
  Pause: { type: "Pause", reason: "gear" },
  Resume: { type: "Resume" },
  Stop: { type: "Stop", why: "enough" },
  Forfeit: { type: "Forfeit", side: "red", why: "not here" },
  "EndBout, by a word": { type: "EndBout", ending: "red wins" },
  Reopen: { type: "Reopen", why: "misread" },
  "ConfirmResult, for both": { type: "ConfirmResult" },
  "ConfirmResult, Red's own": { type: "ConfirmResult", side: "red" },
  QuestionExchange: { type: "QuestionExchange", exchange: "x1", side: "red", why: "I parried" },
};

export const IN_MEET: Readonly<Record<string, Make<MeetCommand>>> = {
  OpenEvening: { type: "OpenEvening", name: "Another evening" },
  AddRing: { type: "AddRing", ring: "r9", name: "Ring 9" },
  AddFencer: ({ people }) => ({ type: "AddFencer", person: people.newcomer }),
  "AddFencer, nobody's": { type: "AddFencer", person: "nobody" },
  MarkFencer: ({ people }) => ({ type: "MarkFencer", person: people.third, as: "resting" }),
  SetFencer: ({ people }) => ({ type: "SetFencer", person: people.third, facts: { team: "North" } }),
  PlanRelay: ({ people, ruleSets }) => ({
    type: "PlanRelay",
    ring: "r1",
    ruleSet: ruleSets.inForce,
    redTeam: "North",
    blueTeam: "South",
    bouts: [{ bout: "bout-relay", red: people.third, blue: people.fourth }],
  }),
  ClaimOfHall: { type: "ClaimOfHall", bout: BOUT, claims: [] },
  AdoptRuleSet: ({ ruleSets }) => ({ type: "AdoptRuleSet", ruleSet: ruleSets.unused, name: "Unused" }),
  PlanBout: ({ people, ruleSets }) => ({
    type: "PlanBout",
    bout: "bout-new",
    ring: "r1",
    red: people.third,
    blue: people.fourth,
    ruleSet: ruleSets.inForce,
  }),
  "PlanBout, with a rule set of nobody's": ({ people }) => ({
    type: "PlanBout",
    bout: "bout-new",
    ring: "r1",
    red: people.third,
    blue: people.fourth,
    ruleSet: "0".repeat(64),
  }),
  DropPlannedBout: { type: "DropPlannedBout", bout: WAITING },
  CallToRing: { type: "CallToRing", bout: WAITING },
  ClearRing: { type: "ClearRing", ring: "r1" },
  TakePen: { type: "TakePen", ring: "r1", device: "a new tablet" },
  "TakePen, of another ring": { type: "TakePen", ring: FREE_RING, device: "a new tablet" },
  SetOfficial: ({ people }) => ({ type: "SetOfficial", ring: "r1", office: "referee", person: people.third }),
};

const RULES = "name: New\ntouches:\n  I hit: 1\n";

/** `seat`: the id of a seat that may be ended. */
export const ASKED: Readonly<Record<string, (known: Known, seat: string) => CoachRequest>> = {
  "read rule set": () => ({ ask: "read rule set", text: RULES }),
  "save rule set": () => ({ ask: "save rule set", text: RULES }),
  "add fencer": () => ({ ask: "add fencer", name: "Kit Marlow", shortName: "", consents: [] }),
  "erase fencer": ({ people }) => ({ ask: "erase fencer", person: people.fourth }),
  "issue seat": () => ({ ask: "issue seat", kind: "wall" }),
  "reissue seat": (_, seat) => ({ ask: "reissue seat", seat }),
  "revoke seat": (_, seat) => ({ ask: "revoke seat", seat }),
  "call bout": () => ({ ask: "call bout", bout: WAITING }),
  try: () => ({ ask: "try", text: RULES, sheet: "1 R thrust torso ! .\nend\n" }),
};

export const made = <C extends object>(make: Make<C>, known: Known): C =>
  typeof make === "function" ? (make as (known: Known) => C)(known) : make;
