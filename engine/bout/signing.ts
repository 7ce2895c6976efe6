/** Who said it, in the words of a bout sheet: "j1", "referee", "table"; and a second judge's assent to a call. */
import type { Call, Fact } from "../../rules/index.ts";
import type { Source } from "../ids.ts";
import type { Claim, Voice } from "./claims.ts";
import type { RecordedExchange } from "./commands.ts";

/** As a sheet names a source; undefined for a fencer, whose side the source does not know. */
export function nameOf(by: Source): string | undefined {
  if (by.referee === true) return "referee";
  if (by.kind === "judge") return by.judge === undefined ? "judge" : `j${by.judge}`;
  return by.kind === "fencer" ? undefined : by.kind;
}

const isJudges = (voice: Voice): boolean => voice.by.kind === "judge";

/** The first other judge who called the same value. */
function assentTo(call: Call, speaker: Voice | undefined, claim: Claim): string | undefined {
  if (speaker === undefined || !isJudges(speaker)) return undefined;
  const second = claim.voices.find(
    ({ by, fact }) =>
      by.kind === "judge" &&
      by.seat !== speaker.by.seat &&
      (by.person === undefined || by.person !== speaker.by.person) &&
      fact?.fact === "call" &&
      fact.call.value === call.value,
  );
  return second && nameOf(second.by);
}

/** The fact with its source, where it brings an action or a call and names none. */
export function signed(fact: Fact, claim: Claim, record: RecordedExchange): Fact {
  const speaker = claim.voices.find((voice) => voice.fact === fact);
  const name = speaker && nameOf(speaker.by);
  if (fact.fact === "happened")
    return name === undefined ? fact : { ...fact, act: { source: name, ...fact.act } };
  if (fact.fact !== "call") return fact;
  const { call } = fact;
  // A call that the record holds already is replaced, so it keeps the record's source.
  const recorded = record.calls?.find((each) => each.call === call.call && each.for === call.for);
  const source = recorded === undefined ? (call.source ?? name) : recorded.source;
  const assent = call.assent ?? assentTo(call, speaker, claim);
  const { source: _, ...rest } = call;
  return {
    fact: "call",
    call: {
      ...rest,
      ...(source === undefined ? {} : { source }),
      ...(assent === undefined ? {} : { assent }),
    },
  };
}
