/** Checks for every command; the compiler holds each schema to the command's own type. */
import { z } from "zod";
import { ENDINGS } from "../../rules/index.ts";
import {
  DRAWN_ELSEWHERE,
  FENCER_MARKS,
  PAUSES,
  PENALTIES,
  type BoutCommand,
  type BroughtIn,
  type MeetCommand,
} from "../../engine/index.ts";
import { facts, hash, id, reason, record, side, title, word } from "./checks-record.ts";

const HALF_A_DAY_MS = 12 * 3_600_000;

const brings: z.ZodType<BroughtIn> = z.strictObject({
  score: z.strictObject({ red: z.number(), blue: z.number() }).exactOptional(),
  picks: z
    .array(z.strictObject({ pick: word, side: side.exactOptional(), value: word }))
    .max(32)
    .exactOptional(),
  marks: z
    .array(
      z.strictObject({
        mark: word,
        side: side.exactOptional(),
        value: z.union([z.number(), word, z.boolean()]),
      }),
    )
    .max(32)
    .exactOptional(),
});

const plain = <T extends string>(type: T): z.ZodObject<{ type: z.ZodLiteral<T> }, z.core.$strict> =>
  z.strictObject({ type: z.literal(type) });

export const boutCommand: z.ZodType<BoutCommand> = z.discriminatedUnion("type", [
  z.strictObject({
    type: z.literal("CallBout"),
    bout: id,
    no: z.int().min(1).max(10_000),
    ring: id,
    red: id,
    blue: id,
    ruleSet: hash,
    brings: brings.exactOptional(),
  }),
  plain("ConfirmCheck"),
  plain("ComeOnGuard"),
  plain("StartFencing"),
  plain("CallHalt"),
  z.strictObject({ type: z.literal("SetClock"), leftMs: z.int().min(0).max(HALF_A_DAY_MS) }),
  z.strictObject({ type: z.literal("RecordExchange"), exchange: id, record }),
  z.strictObject({
    type: z.literal("ChangeExchange"),
    exchange: id,
    record,
    why: reason.exactOptional(),
  }),
  z.strictObject({
    type: z.literal("InsertExchange"),
    exchange: id,
    after: id,
    record,
    why: reason.exactOptional(),
  }),
  z.strictObject({ type: z.literal("RemoveExchange"), exchange: id, why: reason.exactOptional() }),
  plain("SwapFencers"),
  z.strictObject({ type: z.literal("ChangeRuleSet"), ruleSet: hash }),
  z.strictObject({ type: z.literal("GiveFacts"), exchange: id, facts }),
  z.strictObject({
    type: z.literal("Vote"),
    exchange: id,
    facts,
    notSeen: z.boolean().exactOptional(),
    label: title,
  }),
  z.strictObject({
    type: z.literal("SetPick"),
    pick: word,
    side: side.exactOptional(),
    value: word,
    drawn: z.enum(DRAWN_ELSEWHERE).exactOptional(),
  }),
  z.strictObject({ type: z.literal("DrawPick"), pick: word, side: side.exactOptional() }),
  z.strictObject({ type: z.literal("Assent"), exchange: id, call: word, side }),
  z.strictObject({ type: z.literal("GivePenalty"), side, penalty: z.enum(PENALTIES), why: reason }),
  plain("Undo"),
  z.strictObject({ type: z.literal("Pause"), reason: z.enum(PAUSES), side: side.exactOptional() }),
  plain("Resume"),
  z.strictObject({ type: z.literal("Stop"), why: reason }),
  z.strictObject({ type: z.literal("Forfeit"), side, why: reason }),
  z.strictObject({ type: z.literal("EndBout"), ending: z.enum(ENDINGS).exactOptional() }),
  z.strictObject({ type: z.literal("Reopen"), why: reason }),
  z.strictObject({ type: z.literal("ConfirmResult"), side: side.exactOptional() }),
  z.strictObject({ type: z.literal("QuestionExchange"), exchange: id, side, why: reason }),
]);

export const meetCommand: z.ZodType<MeetCommand> = z.discriminatedUnion("type", [
  z.strictObject({ type: z.literal("OpenEvening"), name: title, until: title.exactOptional() }),
  z.strictObject({ type: z.literal("AddRing"), ring: id, name: title }),
  z.strictObject({ type: z.literal("AddFencer"), person: id }),
  z.strictObject({
    type: z.literal("MarkFencer"),
    person: id,
    as: z.enum(FENCER_MARKS),
  }),
  z.strictObject({
    type: z.literal("SetFencer"),
    person: id,
    facts: z.strictObject({
      team: title.exactOptional(),
      leftHanded: z.boolean().exactOptional(),
      grade: z.int().min(0).max(99).exactOptional(),
      rating: z.number().min(0).max(99_999).exactOptional(),
    }),
  }),
  z.strictObject({
    type: z.literal("PlanRelay"),
    ring: id,
    ruleSet: hash,
    redTeam: title,
    blueTeam: title,
    bouts: z.array(z.strictObject({ bout: id, red: id, blue: id })).max(64),
  }),
  z.strictObject({ type: z.literal("AdoptRuleSet"), ruleSet: hash, name: title }),
  z.strictObject({
    type: z.literal("PlanBout"),
    bout: id,
    ring: id,
    red: id,
    blue: id,
    ruleSet: hash,
  }),
  z.strictObject({ type: z.literal("DropPlannedBout"), bout: id }),
  z.strictObject({ type: z.literal("CallToRing"), bout: id }),
  z.strictObject({ type: z.literal("ClearRing"), ring: id }),
  z.strictObject({ type: z.literal("TakePen"), ring: id, device: title }),
  z.strictObject({
    type: z.literal("SetOfficial"),
    ring: id,
    office: z.enum(["referee", "table"]),
    person: id,
  }),
]);
