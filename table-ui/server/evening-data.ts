/** Who and what the demo evening holds. Every person and place is invented. */
import type { RecordedExchange } from "../../engine/index.ts";
import { other, type Act, type Side } from "../../rules/index.ts";

export interface DemoExchange {
  readonly record: RecordedExchange;
}
export interface DemoBout {
  readonly red: string;
  readonly blue: string;
  readonly ring: string;
  readonly until: "planned" | "called" | "running" | "ended";
  readonly exchanges: readonly DemoExchange[];
}

export const RINGS = [
  { id: "ring-1", name: "Ring 1" },
  { id: "ring-2", name: "Ring 2" },
] as const;

interface DemoFencer {
  readonly name: string;
  /** Empty: this fencer has agreed to a number only. */
  readonly shortName: string;
  readonly notes?: string;
  readonly consents?: readonly string[];
}

export const FENCERS: readonly DemoFencer[] = [
  { name: "Mira Halden", shortName: "Mira H.", consents: ["full name on walls"] },
  { name: "Teo Brandt", shortName: "Teo B.", notes: "Gear: lent mask, check the bib." },
  { name: "Noor Castell", shortName: "Noor C.", consents: ["full name on walls"] },
  { name: "Wim Derrick", shortName: "Wim D." },
  { name: "Bram Oyelaran", shortName: "Bram O." },
  { name: "Ilse Varga", shortName: "Ilse V.", notes: "Left shoulder: no grappling until December." },
  { name: "Ada Finch", shortName: "Ada F." },
  { name: "Kit Marlow", shortName: "" },
  { name: "Sam Adeyemi", shortName: "Sam A." },
  { name: "Priya Lund", shortName: "Priya L." },
  { name: "Jonas Ferro", shortName: "Jonas F." },
  { name: "Lena Sorrel", shortName: "Lena S." },
];

const closed = (acts: readonly Act[], more: Partial<RecordedExchange> = {}): DemoExchange => ({
  record: { acts: acts.map((act, i) => ({ id: `a${i + 1}`, ...act })), open: false, ...more },
});

/** A plain thrust that lands. */
const hits = (by: Side, target: string): DemoExchange =>
  closed([{ by, kind: "attack", form: "thrust", target, end: "hit" }]);

/** The cue is given (a full cut from above to the head), parried, and the riposte lands. */
const answers = (by: Side, target: string): DemoExchange =>
  closed([
    { by: other(by), kind: "attack", form: "cut", direction: "descending", target: "head" },
    { by, kind: "parry" },
    { by, kind: "riposte", form: "thrust", target, end: "hit" },
  ]);

/** The cue is given and parried, and the riposte falls short. */
const parries = (by: Side): DemoExchange =>
  closed([
    { by: other(by), kind: "attack", form: "cut", direction: "descending", target: "head" },
    { by, kind: "parry" },
    { by, kind: "riposte", form: "thrust", target: "torso", end: "fall short" },
  ]);

const double = (red: string, blue: string): DemoExchange =>
  closed(
    [
      { by: "red", kind: "attack", form: "thrust", target: red, end: "hit" },
      { by: "blue", kind: "attack", form: "thrust", target: blue, end: "hit" },
    ],
    { how: "double" },
  );

/** The hit, and the other's afterblow. */
const hitWithAfterblow = (by: Side, target: string, back: string): DemoExchange =>
  closed([
    { by, kind: "attack", form: "thrust", target, end: "hit" },
    { by: other(by), kind: "afterblow", target: back, end: "hit" },
  ]);

/** The answer lands, and nobody has said yet whether the cut came from above: pay for both waits for that. */
const answersSomeCut = (by: Side, target: string): DemoExchange =>
  closed([
    { by: other(by), kind: "attack", form: "cut", target: "head" },
    { by, kind: "parry" },
    { by, kind: "riposte", form: "thrust", target, end: "hit" },
  ]);

const nothing: DemoExchange = closed([], { how: "no exchange" });

export const BOUTS: readonly DemoBout[] = [
  {
    red: "Noor Castell",
    blue: "Wim Derrick",
    ring: "ring-2",
    until: "ended",
    exchanges: [
      hits("blue", "torso"),
      answers("blue", "head"),
      hits("red", "arm"),
      parries("red"),
      answers("red", "torso"),
      double("head", "head"),
      hits("blue", "leg"),
    ],
  },
  {
    red: "Ilse Varga",
    blue: "Bram Oyelaran",
    ring: "ring-1",
    until: "ended",
    exchanges: [
      answers("red", "torso"),
      hits("blue", "arm"),
      nothing,
      hitWithAfterblow("red", "head", "arm"),
      answers("red", "arm"),
    ],
  },
  {
    red: "Ada Finch",
    blue: "Kit Marlow",
    ring: "ring-2",
    until: "ended",
    exchanges: [hits("red", "torso"), parries("blue"), hits("blue", "torso"), answers("blue", "leg")],
  },
  {
    red: "Mira Halden",
    blue: "Teo Brandt",
    ring: "ring-1",
    until: "running",
    exchanges: [
      hits("red", "torso"),
      answers("blue", "head"),
      double("arm", "head"),
      hitWithAfterblow("red", "head", "arm"),
      answersSomeCut("blue", "arm"),
      nothing,
    ],
  },
  { red: "Noor Castell", blue: "Priya Lund", ring: "ring-2", until: "called", exchanges: [] },
];

export const PLANNED: readonly DemoBout[] = [
  { red: "Sam Adeyemi", blue: "Jonas Ferro", ring: "ring-1", until: "planned", exchanges: [] },
  { red: "Lena Sorrel", blue: "Wim Derrick", ring: "ring-2", until: "planned", exchanges: [] },
  { red: "Ilse Varga", blue: "Mira Halden", ring: "ring-1", until: "planned", exchanges: [] },
  { red: "Bram Oyelaran", blue: "Ada Finch", ring: "ring-2", until: "planned", exchanges: [] },
];
