/** given(...).when(...).then(...): a bout told in commands, so that tests of the engine read like the rule book. */
import { expect } from "vitest";
import { compile, readRuleSet } from "../../rules/index.ts";
import type { Act, Scorer, Side } from "../../rules/index.ts";
import { decideBout, evolveBout, isRefusal } from "../../engine/index.ts";
import type {
  Bout,
  BoutCommand,
  BoutEvent,
  Given,
  RecordedExchange,
  Refusal,
  RefusalCode,
  SeatsHeld,
  Source,
} from "../../engine/index.ts";

/** The night that most tests fence: three targets, a bonus that judge 1 watches, a sealed choice. */
export const NIGHT = `
name: Cover and answer night
phrases:
  cue: they cut
  attempt: they cut, then I parry
  success: they cut, then I parry, then I riposte and hit
picks:
  named target:
    by: each fencer
    from:
      - head
      - torso
      - arm
    when: before the bout
bout:
  ends:
    - at 7 points
    - after 3 min
touches:
  I hit the head: 3
  I hit the torso: 2
  I hit: 1
rules:
  - name: Cover and answer
    when: they cut, then I parry, then I riposte and hit
    pays: 2 bonus to me
    at most: 4 bonus a bout
    watch: judge 1
`;

/** The same touches with other sentences for the bout: "ends: after 5 exchanges" and so on. */
export const underBout = (...sentences: readonly string[]): string => `
name: ${sentences.join(", ").replaceAll(/[^a-z0-9 ]/g, " ")}
bout:
${sentences.map((sentence) => `  ${sentence}`).join("\n")}
touches:
  I hit the head: 3
  I hit the torso: 2
  I hit: 1
`;

const compiled = new Map<string, Scorer>();

/** A rule set compiled from its text; a text that cannot be read fails the test with its faults. */
export function scorerOf(text: string): Scorer {
  const known = compiled.get(text);
  if (known !== undefined) return known;
  const read = readRuleSet(text, "test.yaml");
  if (!read.ok) throw new Error(read.faults.map((fault) => `${fault.line}: ${fault.message}`).join("\n"));
  const scorer = compile(read.value);
  compiled.set(text, scorer);
  return scorer;
}

/** In tests a rule set's text is its own hash. */
export const scorers = (hash: string): Scorer | undefined =>
  hash.startsWith("unknown") ? undefined : scorerOf(hash);

export const TABLE: Source = { seat: "table seat", kind: "table" };
export const COACH: Source = { seat: "coach seat", kind: "coach" };
export const REFEREE: Source = { seat: "referee seat", kind: "judge", judge: 9, referee: true };
export const judge = (no: number): Source => ({ seat: `judge seat ${no}`, kind: "judge", judge: no });
export const fencer = (person: string): Source => ({ seat: `seat of ${person}`, kind: "fencer", person });

export interface Said {
  readonly by?: Source;
  readonly command: BoutCommand;
  readonly seats?: SeatsHeld;
  /** Milliseconds after the step before; 1000 where nothing is said. */
  readonly wait?: number;
}
export type Step = BoutCommand | Said;

/** Given by another seat than the table's. */
export const from = (by: Source, command: BoutCommand, seats?: SeatsHeld): Said => ({
  by,
  command,
  ...(seats === undefined ? {} : { seats }),
});
export const later = (wait: number, command: BoutCommand): Said => ({ wait, command });

export const callBout = (ruleSet: string = NIGHT): Said =>
  from(COACH, { type: "CallBout", bout: "b1", no: 1, ring: "r1", red: "mira", blue: "teo", ruleSet });

export const fence: BoutCommand = { type: "StartFencing" };
export const halt: BoutCommand = { type: "CallHalt" };
export const end: BoutCommand = { type: "EndBout" };
export const undo: BoutCommand = { type: "Undo" };

/** A hit and nothing else. */
export const hit = (by: Side, target: string): RecordedExchange => ({
  acts: [{ by, kind: "attack", form: "cut", target, end: "hit" }],
  open: false,
});
export const double: RecordedExchange = {
  how: "double",
  acts: [
    { by: "red", kind: "attack", target: "torso", end: "hit" },
    { by: "blue", kind: "attack", target: "torso", end: "hit" },
  ],
  open: false,
};
/** They cut; I parry and my riposte lands. */
export const answer = (by: Side, target = "torso"): RecordedExchange => {
  const them: Side = by === "red" ? "blue" : "red";
  const acts: readonly Act[] = [
    { by: them, kind: "attack", form: "cut", target: "head" },
    { by, kind: "parry" },
    { by, kind: "riposte", target, end: "hit" },
  ];
  return { acts, open: false };
};
export const noExchange: RecordedExchange = { how: "no exchange", acts: [], open: false };

export const record = (exchange: string, what: RecordedExchange): BoutCommand => ({
  type: "RecordExchange",
  exchange,
  record: what,
});
export const change = (exchange: string, what: RecordedExchange): BoutCommand => ({
  type: "ChangeExchange",
  exchange,
  record: what,
});

/** "Fence!", halt, recorded: as it goes at the table. */
export const fenced = (exchange: string, what: RecordedExchange): readonly Step[] => [
  fence,
  later(4_000, halt),
  record(exchange, what),
];

const START = 1_700_000_000_000;

interface Told {
  readonly bout: Bout | undefined;
  readonly events: readonly { readonly version: number; readonly data: BoutEvent }[];
  readonly at: number;
  readonly refused?: Refusal;
}

const said = (step: Step): Said => ("command" in step ? step : { command: step });

/** The command as it reaches `decide`. */
export function asGiven(step: Step, at: number, no: number): Given<BoutCommand> {
  const { by = TABLE, command, seats } = said(step);
  const pen = by.kind === "table" ? { pen: { epoch: 1, seq: no } } : {};
  return { id: `c${no}`, at, by, command, ...pen, ...(seats === undefined ? {} : { seats }) };
}

function tell(told: Told, step: Step): Told {
  const at = told.at + (said(step).wait ?? 1_000);
  const decision = decideBout(told.bout, asGiven(step, at, told.events.length + 1), scorers);
  if (isRefusal(decision)) return { ...told, at, refused: decision };
  const { refused: _, ...rest } = told;
  let { bout } = told;
  const events = [...told.events];
  for (const data of decision) {
    const version = events.length + 1;
    bout = evolveBout(bout, data, version, scorers);
    events.push({ version, data });
  }
  return { ...rest, bout, events, at };
}

export class Story {
  readonly told: Told;
  constructor(told: Told) {
    this.told = told;
  }

  get bout(): Bout {
    if (this.told.bout === undefined) throw new Error("No bout has been called.");
    return this.told.bout;
  }

  get events(): Told["events"] {
    return this.told.events;
  }

  /** The events' types, in order. */
  get happened(): readonly BoutEvent["type"][] {
    return this.told.events.map((event) => event.data.type);
  }

  /** Goes on; every step but the last must be accepted. */
  when(...steps: readonly (Step | readonly Step[])[]): Story {
    let told = this.told;
    for (const step of steps.flat() as readonly Step[]) {
      if (told.refused !== undefined) throw new Error(`Refused: ${told.refused.sentence}`);
      told = tell(told, step);
    }
    return new Story(told);
  }

  // oxlint-disable-next-line unicorn/no-thenable -- nobody awaits a story; it reads like the rule book.
  then(check: (bout: Bout, story: Story) => void): this {
    if (this.told.refused !== undefined) throw new Error(`Refused: ${this.told.refused.sentence}`);
    check(this.bout, this);
    return this;
  }

  /** The last step was refused so, in a whole sentence. */
  refused(code: RefusalCode): this {
    expect(this.told.refused?.refused).toBe(code);
    expect(this.told.refused?.sentence).toMatch(/^["A-Z].*[.]$/);
    return this;
  }
}

/** A bout in which these steps were accepted. */
export function given(...steps: readonly (Step | readonly Step[])[]): Story {
  const story = new Story({ bout: undefined, events: [], at: START }).when(...steps);
  if (story.told.refused !== undefined) throw new Error(`Refused: ${story.told.refused.sentence}`);
  return story;
}

/** A bout that was called, and its first "Fence!" said and halted. */
export const begun = (ruleSet: string = NIGHT): Story => given(callBout(ruleSet), fence, later(3_000, halt));
