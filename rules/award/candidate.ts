/** A question that may be worth asking, and what is known of the action that it is about. */
import type { Act, ExchangeLine } from "../record.ts";
import { propagate } from "./attributes.ts";
import { standingsOf } from "./code.ts";
import type { Store } from "./formula.ts";
import { knownOfAct } from "./known.ts";
import type { Program } from "./program.ts";
import type { Answer, Fact, Question } from "./tally.ts";

export interface Candidate {
  /** Stable within the exchange. */
  readonly id: string;
  readonly text: string;
  readonly answers: readonly Answer[];
  readonly ask?: Question["ask"];
  /** Facts between which an award must differ for the question to matter; missing: its answers, against what is known. */
  readonly contrast?: readonly (readonly Fact[])[];
  /** What hangs on it shows only when the whole sheet is scored again. */
  readonly wholeSheet?: boolean;
}

export const yesNo = (yes: readonly Fact[], no: readonly Fact[]): readonly Answer[] => [
  { label: "Yes", facts: yes },
  { label: "No", facts: no },
];

/** What each attribute of a recorded action may be. */
export function storeOf(program: Program, line: ExchangeLine, i: number): Store {
  const { attributes } = program.env.doings;
  const standings = standingsOf(line, program.isParry, () => false);
  const known = knownOfAct(attributes, line.acts[i] as Act, standings[i] as (typeof standings)[number]);
  return propagate(attributes, known.store, known.written) ?? known.store;
}
