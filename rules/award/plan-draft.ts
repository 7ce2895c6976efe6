/** The exchange that the table is entering: presses in, a line of the bout sheet and lit chips out. All values immutable. */
import type { BoutSheet, ExchangeLine } from "../record.ts";
import { hitKeyOf, isNeither, readDraft, type Chip, type Draft } from "./plan-read.ts";
import type { PressPlan } from "./plan.ts";

/** An empty draft after what is on the sheet already. */
export function draftStart(plan: PressPlan, before: BoutSheet = [], left?: number): Draft {
  return { plan, before, ...(left === undefined ? {} : { left }), presses: [] };
}

/**
 * The draft after a press of a hit key, a neither key or a chip. A second press of the same key takes it back; another
 * hit key of the same side replaces the first; "no exchange" stands alone. A press that the plan does not know, or that
 * cannot be so, changes nothing.
 */
export function press(draft: Draft, id: string): Draft {
  const { plan, presses } = draft;
  if (presses.includes(id)) return { ...draft, presses: presses.filter((one) => one !== id) };
  const hit = hitKeyOf(plan, id);
  if (hit !== undefined) {
    const kept = presses.filter((one) => one !== "no exchange" && hitKeyOf(plan, one)?.side !== hit.side);
    return { ...draft, presses: [...kept, id] };
  }
  if (isNeither(plan, id)) {
    if (id === "no exchange") return { ...draft, presses: [id] };
    return { ...draft, presses: [...presses.filter((one) => !isNeither(plan, one)), id] };
  }
  const chip = chips(draft).find((one) => one.id === id);
  if (chip === undefined || chip.state === "hidden" || chip.state === "lit") return draft;
  return { ...draft, presses: [...presses, id] };
}

/** True once there is something to record. An afterblow alone does not say who hit first. */
export function isReady(draft: Draft): boolean {
  const { plan, presses } = draft;
  const hits = presses.filter((id) => hitKeyOf(plan, id) !== undefined).length;
  return presses.length > 0 && (!presses.includes("afterblow") || hits > 0);
}

/**
 * The line that Enter would record as exchange `no`: closed for everything that the table watches, open for what a named
 * judge may still report (S4). `left`: seconds on the clock at the halt.
 */
export function draftLine(draft: Draft, no: number, left?: number): ExchangeLine {
  const { line } = readDraft(draft);
  return { ...line, no, ...(left === undefined ? {} : { left }) };
}

/** Every chip of the plan with what it shows for this draft, in the order of the rule set, Red before Blue. */
export const chips = (draft: Draft): readonly Chip[] => readDraft(draft).chips;
