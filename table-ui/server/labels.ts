/** The closed lists that metrics are told apart by. Whatever is in none of them is counted as "other". */
import { REFUSAL_CODES, type BoutCommand, type MeetCommand } from "../../engine/index.ts";
import { LEDGER_FAULTS } from "../../engine/ledger/open.ts";
import type { CoachRequest } from "../wire/messages.ts";
import { TROUBLES } from "../wire/standing.ts";
import type { Cut } from "./crowding.ts";

type CommandType = (BoutCommand | MeetCommand)["type"];

/** A record, so that the compiler names a command that is missing. */
export const COMMANDS: Readonly<Record<CommandType, true>> = {
  CallBout: true,
  ConfirmCheck: true,
  ComeOnGuard: true,
  StartFencing: true,
  CallHalt: true,
  SetClock: true,
  RecordExchange: true,
  ChangeExchange: true,
  InsertExchange: true,
  RemoveExchange: true,
  SwapFencers: true,
  ChangeRuleSet: true,
  GiveFacts: true,
  Vote: true,
  SetPick: true,
  DrawPick: true,
  Assent: true,
  AnswerClaims: true,
  GivePenalty: true,
  Undo: true,
  Pause: true,
  Resume: true,
  Stop: true,
  Forfeit: true,
  EndBout: true,
  Reopen: true,
  ConfirmResult: true,
  QuestionExchange: true,
  OpenEvening: true,
  AddRing: true,
  AddFencer: true,
  MarkFencer: true,
  SetFencer: true,
  PlanRelay: true,
  ClaimOfHall: true,
  AdoptRuleSet: true,
  PlanBout: true,
  DropPlannedBout: true,
  CallToRing: true,
  ClearRing: true,
  TakePen: true,
  SetOfficial: true,
};

export const ASKS: Readonly<Record<CoachRequest["ask"], true>> = {
  "read rule set": true,
  "save rule set": true,
  "add fencer": true,
  "erase fencer": true,
  "issue seat": true,
  "reissue seat": true,
  "revoke seat": true,
  "call bout": true,
  try: true,
};

/** Why somebody was not let in. */
export const DOOR_REASONS = ["bad-host", "bad-seat", "revoked-seat"] as const;
export type DoorReason = (typeof DOOR_REASONS)[number];

export const CUTS: readonly Cut[] = ["sends too much", "does not read"];

export const STANDINGS = ["sound", ...TROUBLES] as const;

export const FAULTS = [...LEDGER_FAULTS, "other"] as const;

/** The word itself where the list has it; words from outside must never make a label of their own. */
function within(list: readonly string[]): (said: unknown) => string {
  const known = new Set(list);
  return (said) => (typeof said === "string" && known.has(said) ? said : "other");
}

export const asCommandType = within(Object.keys(COMMANDS));
export const asAsk = within(Object.keys(ASKS));
export const asRefusalCode = within(REFUSAL_CODES);
export const asFault = within(FAULTS);
