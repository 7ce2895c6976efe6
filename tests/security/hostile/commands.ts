/** One valid command of every type; the compiler names a type that is missing here. */
import type { BoutCommand, MeetCommand } from "../../../engine/index.ts";
import { hit } from "../../table-ui/server/hall.ts";

/** Written by the server alone; no device may send them. */
export const SERVERS_OWN = ["AnswerClaims", "ClaimOfHall"] as const;
type ServersOwn = (typeof SERVERS_OWN)[number];

type Each<C extends { readonly type: string }> = {
  readonly [T in Exclude<C["type"], ServersOwn>]: Extract<C, { readonly type: T }>;
};

const HASH = "0123456789abcdef".repeat(4);

/** Every key that a command may have is there, so that every one of them can be spoilt. */
export const BOUT_COMMANDS: Each<BoutCommand> = {
  CallBout: {
    type: "CallBout",
    bout: "bout-x",
    no: 7,
    ring: "r1",
    red: "p1",
    blue: "p2",
    ruleSet: HASH,
    brings: {
      score: { red: 1, blue: 0 },
      picks: [{ pick: "secret", side: "red", value: "head" }],
      marks: [{ mark: "blot", side: "blue", value: 2 }],
    },
  },
  ConfirmCheck: { type: "ConfirmCheck" },
  ComeOnGuard: { type: "ComeOnGuard" },
  StartFencing: { type: "StartFencing" },
  CallHalt: { type: "CallHalt" },
  SetClock: { type: "SetClock", leftMs: 90_000 },
  RecordExchange: {
    type: "RecordExchange",
    exchange: "x7",
    record: {
      ...hit("red"),
      left: 25,
      calls: [{ call: "style", for: "red", value: 2, reason: "clean", source: "j1", assent: "j2" }],
      picks: { luck: "pays" },
    },
  },
  ChangeExchange: { type: "ChangeExchange", exchange: "x1", record: hit("blue"), why: "misread" },
  InsertExchange: {
    type: "InsertExchange",
    exchange: "x8",
    after: "x1",
    record: hit("red"),
    why: "forgotten",
  },
  RemoveExchange: { type: "RemoveExchange", exchange: "x1", why: "never happened" },
  SwapFencers: { type: "SwapFencers" },
  ChangeRuleSet: { type: "ChangeRuleSet", ruleSet: HASH },
  GiveFacts: {
    type: "GiveFacts",
    exchange: "x1",
    facts: [
      { fact: "attribute", act: "a1", key: "target", value: "head", not: true },
      { fact: "end", act: "a1", end: "hit" },
      { fact: "happened", act: { id: "a9", by: "blue", kind: "parry" }, before: "a1" },
      { fact: "nothing else", kinds: ["parry"], by: "red" },
      { fact: "weaker", side: "nobody" },
      { fact: "how", how: "double" },
      { fact: "left", seconds: 12 },
      { fact: "pick", pick: "luck", side: "red", value: "pays" },
    ],
  },
  Vote: { type: "Vote", exchange: "x1", facts: [], notSeen: true, label: "Not seen" },
  SetPick: { type: "SetPick", pick: "secret target", side: "red", value: "head", drawn: "by hand" },
  DrawPick: { type: "DrawPick", pick: "luck", side: "red" },
  Assent: { type: "Assent", exchange: "x1", call: "style", side: "red" },
  GivePenalty: { type: "GivePenalty", side: "red", penalty: "warning", why: "late" },
  Undo: { type: "Undo" },
  Pause: { type: "Pause", reason: "gear", side: "blue" },
  Resume: { type: "Resume" },
  Stop: { type: "Stop", why: "safety" },
  Forfeit: { type: "Forfeit", side: "blue", why: "absent" },
  EndBout: { type: "EndBout", ending: "red wins" },
  Reopen: { type: "Reopen", why: "misread" },
  ConfirmResult: { type: "ConfirmResult", side: "red" },
  QuestionExchange: { type: "QuestionExchange", exchange: "x1", side: "red", why: "it was a parry" },
};

export const MEET_COMMANDS: Each<MeetCommand> = {
  OpenEvening: { type: "OpenEvening", name: "Another evening", until: "22:00" },
  AddRing: { type: "AddRing", ring: "r9", name: "Ring 9" },
  AddFencer: { type: "AddFencer", person: "p9" },
  MarkFencer: { type: "MarkFencer", person: "p9", as: "here" },
  SetFencer: {
    type: "SetFencer",
    person: "p9",
    facts: { team: "North", leftHanded: true, grade: 2, rating: 1200 },
  },
  PlanRelay: {
    type: "PlanRelay",
    ring: "r1",
    ruleSet: HASH,
    redTeam: "North",
    blueTeam: "South",
    bouts: [{ bout: "bout-y", red: "p1", blue: "p2" }],
  },
  AdoptRuleSet: { type: "AdoptRuleSet", ruleSet: HASH, name: "Another" },
  PlanBout: { type: "PlanBout", bout: "bout-z", ring: "r1", red: "p1", blue: "p2", ruleSet: HASH },
  DropPlannedBout: { type: "DropPlannedBout", bout: "bout-z" },
  CallToRing: { type: "CallToRing", bout: "bout-z" },
  ClearRing: { type: "ClearRing", ring: "r9" },
  TakePen: { type: "TakePen", ring: "r9", device: "another" },
  SetOfficial: { type: "SetOfficial", ring: "r9", office: "referee", person: "p9" },
};
