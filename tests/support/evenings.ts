/** Random evenings: several bouts of a few fencers, in teams or without, everything written or some of it left open. */
import * as fc from "fast-check";

export interface RandomEvening {
  /** One text for each bout, its `bout` line first. */
  readonly bouts: readonly string[];
}

const NAMES = ["Ana", "Ben", "Cem", "Dia"] as const;
const TEAM_OF: Readonly<Record<string, string>> = { Ana: "Larks", Ben: "Crows", Cem: "Larks", Dia: "Crows" };

const ACTS = [
  "cut head !",
  "cut arm !",
  "thrust torso !",
  "cut head miss",
  "parry",
  "feint",
  "step out",
] as const;

const act = fc.record({ by: fc.constantFrom("R", "B"), what: fc.constantFrom(...ACTS) });
const exchange = fc.record({
  acts: fc.array(act, { minLength: 1, maxLength: 3 }),
  how: fc.constantFrom("", "", "", "", "double "),
});

const write =
  (no: number, stop: string) =>
  ({ acts, how }: { acts: readonly { by: string; what: string }[]; how: string }) =>
    `${String(no)} ${how}${acts.map(({ by, what }) => `${by} ${what}`).join(", ")}${stop}`;

/** `open`: how often of ten a line has no full stop. */
export function evenings(
  extra: (red: string, blue: string) => fc.Arbitrary<readonly string[]>,
  open = 0,
): fc.Arbitrary<RandomEvening> {
  const two = fc.shuffledSubarray([...NAMES], { minLength: 2, maxLength: 2 });
  const bout = two.chain(([red = "", blue = ""]) =>
    fc
      .record({
        exchanges: fc.array(fc.tuple(exchange, fc.integer({ min: 1, max: 10 })), { maxLength: 4 }),
        teams: fc.boolean(),
        ends: fc.constantFrom("end", "end", "end R", "end B", "end draw", "end both lose"),
        before: extra(red, blue),
      })
      .map(({ exchanges, ends, before }) => {
        const of = (name: string): string => `${name} of ${TEAM_OF[name] ?? ""}`;
        const lines = exchanges.map(([one, n], i) => write(i + 1, n <= open ? "" : " .")(one));
        return [`bout R ${of(red)}, B ${of(blue)}`, ...before, ...lines, ends].join("\n");
      }),
  );
  return fc.array(bout, { minLength: 2, maxLength: 4 }).map((bouts) => ({ bouts }));
}
