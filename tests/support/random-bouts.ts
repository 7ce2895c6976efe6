/** Rule sets and random bouts in which every fact is recorded, for the tests that compare scorers. Seeded. */
import { readRuleSet } from "../../rules/language/read.ts";
import { formatFaults } from "../../rules/language/faults.ts";
import type { RuleSet } from "../../rules/language/tree.ts";
import type { Act, BoutSheet, ExchangeLine, SheetLine } from "../../rules/record.ts";
import type { MannerOfExchange, Side } from "../../rules/vocabulary.ts";

export interface Random {
  /** 0 <= x < 1. */
  next(): number;
  below(n: number): number;
  pick<T>(list: readonly T[]): T;
  chance(p: number): boolean;
}

/** Mulberry32: small, and the same on every machine. */
export function seeded(seed: number): Random {
  let a = seed >>> 0;
  const next = (): number => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const below = (n: number): number => Math.floor(next() * n);
  return {
    next,
    below,
    pick: (list) => list[below(list.length)] as (typeof list)[number],
    chance: (p) => next() < p,
  };
}

export function ruleSetOf(text: string): RuleSet {
  const read = readRuleSet(text);
  if (!read.ok) throw new Error(formatFaults(read.faults));
  return read.value;
}

const TEXTS: readonly string[] = [
  `
name: Phrases
phrases:
  theme: they strike to the head, then I parry, then I riposte and hit
touches:
  I hit: 1
  I hit the head: 2
rules:
  - {name: Theme, when: I make the theme, pays: "3, 2, then 1 bonus to me"}
  - {name: At once, when: "they cut, at once I parry, at once I hit", pays: 2 bonus to me}
  - {name: Unanswered, when: "I hit, then they never hit", pays: 1 bonus to me}
  - {name: No feint, when: "they never feint, then I hit with a thrust", pays: 1 bonus to me}
  - {name: Between, when: "I feint, then they never parry, then I hit", pays: 1 bonus to me}
  - {name: Opened, when: "first I feint", pays: 0.5 bonus to me}
  - {name: Began, when: I begin with a thrust, pays: 0.5 bonus to them}
  - {name: Each, when: "they strike to the head, at once I parry", pays: 0.5 bonus to me each time, at most: 1 bonus a bout}
  - {name: Either, when: "I or they parry, then I hit", pays: 1 bonus to me}
  - {name: Both, when: we both withdraw, pays: -1 bonus to me}
  - {name: Two ways, when: ["I parry, then I hit", "I void, then I hit"], pays: 1 bonus to me each time}
`,
  `
name: Effects
touches:
  I hit: 1
  I hit with a thrust: 2
rules:
  - {name: Press, when: "I bind, then I hit", does: double my points}
  - {name: Triple, when: "I feint, then I hit the leg", does: triple my points}
  - {name: Small, when: I hit, pays: 1 bonus to me, best of: group}
  - {name: Large, when: I riposte and hit, pays: 2 bonus to me, best of: group}
  - {name: Minus, when: I hit the arm, pays: -1 bonus to me, not below: 0}
  - {name: Threat, when: they withdraw, if: I hit, unless: "I parry, then I hit", does: annul my points}
  - {name: Turned, when: I feint, if: they hit, does: turn my bonus over to them}
  - {name: Capped, when: I parry, pays: 1 bonus to me each time, at most: "1 bonus an exchange, 3 bonus a bout"}
  - {name: Twice, when: I void, pays: 1 point to me, at most: twice a bout}
  - {name: Fine, when: I hit the hand, pays: -1 point to me, not below: 0}
  - {name: Halved, when: "they hit cleanly", if: they hit with a cut, does: halve their bonus}
`,
  `
name: Marks
marks:
  streak: {is: a count for each fencer, changes: [up 1 when I hit cleanly, to 0 when they hit]}
  doubles: {is: a count for the bout, changes: [up 1 when it is a double]}
  paid: {is: a count for each fencer, changes: ['up 1 when "Row" pays me', 'to 0 when "Row" pays them']}
bout: {doubles: both score}
touches:
  I hit: 1
rules:
  - {name: Row, when: I hit cleanly, pays: 1 bonus to me times my streak now}
  - {name: Behind, when: I hit, if: I am behind, pays: 1 bonus to me}
  - {name: Level, when: I parry, if: they are level, pays: 1 bonus to me}
  - {name: Second, if: "it is a double, and the doubles is 2 now", pays: -1 point to me}
  - {name: After thrust, when: I hit with a cut, if: in the last exchange I hit with a thrust, pays: 2 bonus to me}
  - {name: After double, when: I hit, if: in the last exchange it is a double, pays: 1 bonus to me}
  - {name: Rewarded, when: I feint, if: '"Row" pays me', pays: 1 bonus to me}
  - {name: Paid before, when: I hit, if: '"Row" paid me in the last exchange', pays: 0.5 bonus to me}
  - {name: Saved, when: I void, if: my paid is 2 or more, pays: 1 bonus to me}
  - {name: More, when: I bind, if: my streak is more than theirs, pays: 1 bonus to me}
`,
  `
name: Deductive
bout: {ends: at 5 points, doubles: 1 off each, afterblows: take off 1}
touches:
  I hit: 1
  I hit the head or torso: 2
rules:
  - {name: Late, if: "it is a double, and 30 s or less are left, and I am ahead", pays: -1 bonus to me}
  - {name: Riposte, when: I riposte and hit, unless: they hit, pays: "2 bonus to me if I hit the head"}
`,
  `
name: Half
bout: {ends: [at 3 points ahead, after 6 exchanges], doubles: score nothing, afterblows: half to the second, simultaneous: both score}
touches:
  I hit: 1
  I hit with a thrust: 2
rules:
  - {name: Not late, when: I hit, unless: they land an afterblow, pays: 1 bonus to me}
  - {name: Held, when: "I parry, then I hit", pays: 1 bonus to me}
  - {name: Keep, when: I feint, does: "hold my bonus for one exchange, lost if they hit"}
  - {name: Stop, if: it is a double, unless: they feint, does: "end the bout, both lose"}
`,
];

export const RULE_SETS: readonly RuleSet[] = TEXTS.map(ruleSetOf);

/** Picks, tokens, roles and marks that remember: beyond the oracle, but not beyond the tests that compare scoring with itself. */
const FURTHER: readonly string[] = [
  `
name: Picks
picks:
  target: {by: each fencer, from: [head, arm, leg], when: before the bout}
  luck: {by: chance, from: [pays, nothing], when: after each exchange}
  card: {by: the coach, from: [ripostes, cuts], when: after every 2 exchanges}
bout: {ends: at 4 points}
touches: {I hit: 1}
rules:
  - {name: Declared, when: I hit my target, pays: 2 bonus to me}
  - {name: Sealed, when: they hit my target, does: annul their points}
  - {name: No luck, if: the luck is nothing, does: annul my bonus}
  - {name: Card, when: I riposte and hit, if: the card is ripostes, pays: 1 point to me}
  - {name: Foretold, at: the end of the bout, if: "I win the bout, and in the last exchange I hit my target", pays: 3 bonus to me}
`,
  `
name: Tokens
marks:
  initiative: {is: a token, starts: with red, changes: [changes hands when I or they parry]}
  who: {is: roles defender and attacker for each exchange, changes: ["passes to me when they never parry, then I parry"]}
  targets: {is: a set for each fencer, changes: [gains the target when I hit]}
  last: {is: a note for each fencer, changes: [becomes the form when I hit]}
  parries: {is: a count for each fencer, changes: [up 1 each time I parry, to 0 when they hit]}
bout: {doubles: both score}
touches: {I hit: 1}
rules:
  - {name: Without, when: I hit, if: the initiative is theirs at that moment, does: annul my points}
  - {name: Defender, when: I hit, if: I am the defender, pays: 2 bonus to me}
  - {name: Attacker, when: I hit, if: I am the attacker, pays: 1 bonus to me}
  - {name: New, when: I hit anything but one of my targets, pays: 1 bonus to me}
  - {name: Other form, when: I hit with anything but my last, pays: 0.5 bonus to me}
  - {name: Third, if: my parries is 3 or more now, pays: 1 bonus to me, at most: once a bout}
`,
];

export const FURTHER_SETS: readonly RuleSet[] = FURTHER.map(ruleSetOf);

/** What a bout under a rule set needs besides its exchanges: every pick said. */
export function withPicks(random: Random, ruleSet: RuleSet, bout: BoutSheet): BoutSheet {
  const lines: SheetLine[] = [];
  for (const { name, from, when, by } of ruleSet.picks)
    if ("at" in when && when.at === "before the bout")
      for (const side of by === "each fencer" ? (["red", "blue"] as const) : [undefined])
        lines.push({ type: "pick", pick: name, value: random.pick(from).text, ...(side ? { side } : {}) });
  // A card holds for two exchanges, which must not contradict each other: one value for the whole bout.
  const held = new Map(ruleSet.picks.map(({ name, from }) => [name, random.pick(from).text]));
  for (const line of bout) {
    if (line.type !== "exchange") continue;
    const own = ruleSet.picks.filter(({ when }) => !("at" in when) || when.at === "after each exchange");
    const picks = Object.fromEntries(
      own.map(({ name, from, when }) => [
        name,
        "at" in when ? random.pick(from).text : (held.get(name) ?? ""),
      ]),
    );
    lines.push(own.length > 0 ? { ...line, picks } : line);
  }
  return lines;
}

const TARGETS = ["head", "torso", "arm", "hand", "leg"] as const;
const STRIKES = ["attack", "attack", "riposte", "counter-attack"] as const;
const OTHERS = ["parry", "parry", "feint", "bind", "void", "withdraw"] as const;

export function randomAct(random: Random, id: string): Act {
  const by: Act["by"] = random.chance(0.06) ? "both" : random.pick(["red", "blue"] as const);
  if (random.chance(0.5) || by === "both") {
    const kind = by === "both" ? "withdraw" : random.pick(OTHERS);
    const form = kind === "feint" ? { form: random.pick(["cut", "thrust"]) } : {};
    return { id, by, kind, ...form, target: random.pick(TARGETS) };
  }
  const end = random.chance(0.45)
    ? { end: "hit" as const }
    : random.chance(0.3)
      ? { end: "miss" as const }
      : {};
  return {
    id,
    by,
    kind: random.pick(STRIKES),
    form: random.pick(["cut", "thrust"]),
    target: random.pick(TARGETS),
    ...end,
  };
}

/** Attack, parry, riposte: what the rule sets are about, and chance alone too seldom makes. */
function taughtAnswer(random: Random, id: (i: number) => string): readonly Act[] {
  const [a, b] = random.chance(0.5) ? (["red", "blue"] as const) : (["blue", "red"] as const);
  const target = (): string => (random.chance(0.6) ? "head" : random.pick(TARGETS));
  const end = random.chance(0.7) ? { end: "hit" as const } : {};
  return [
    { id: id(0), by: a, kind: "attack", form: random.pick(["cut", "thrust"]), target: target() },
    { id: id(1), by: b, kind: "parry", target: "arm" },
    { id: id(2), by: b, kind: "riposte", form: random.pick(["cut", "thrust"]), target: target(), ...end },
  ];
}

/** One exchange, closed, with everything said that the rule sets above ask about. */
export function randomExchange(random: Random, no: number): ExchangeLine {
  const id = (i: number): string => `${String(no)}${"abcdefghij"[i] ?? "x"}`;
  const taught = random.chance(0.3) ? taughtAnswer(random, id) : [];
  const more = Array.from({ length: random.below(taught.length > 0 ? 3 : 6) }, (_, i) =>
    randomAct(random, id(taught.length + i)),
  );
  const acts = random.chance(0.5) ? [...taught, ...more] : [...more, ...taught];
  const how = random.chance(0.08) ? "no exchange" : howOf(random, acts);
  const late = acts.findIndex(({ end }) => end === "hit");
  const after: readonly Act[] =
    late >= 0 && how === undefined && random.chance(0.25)
      ? [
          {
            id: `${String(no)}z`,
            by: acts[late]?.by === "red" ? "blue" : "red",
            kind: "afterblow",
            form: "cut",
            target: random.pick(TARGETS),
            end: "hit",
          },
        ]
      : [];
  return {
    type: "exchange",
    no,
    id: `x${String(no)}`,
    ...(how === undefined ? {} : { how }),
    acts: [...acts, ...after],
    open: false,
    left: random.below(80),
  };
}

function howOf(random: Random, acts: readonly Act[]): MannerOfExchange | undefined {
  const lands = (side: Side): boolean => acts.some(({ by, end }) => by === side && end === "hit");
  if (lands("red") && lands("blue") && random.chance(0.7)) return "double";
  return random.chance(0.04) ? "simultaneous" : undefined;
}

export const randomBout = (random: Random, exchanges: number): BoutSheet =>
  Array.from({ length: exchanges }, (_, i) => randomExchange(random, i + 1));

/** The same bout with the seconds between its actions, and how long some of them lasted. */
export const withSeconds = (random: Random, bout: BoutSheet): BoutSheet =>
  bout.map((line): SheetLine => {
    if (line.type !== "exchange") return line;
    const acts = line.acts.map((act, i) => ({
      ...act,
      for: random.below(8),
      ...(i === 0 ? {} : { after: random.pick([0, 0.3, 0.5, 1, 1, 1.2, 2, 3]) }),
    }));
    return { ...line, acts };
  });

const TIMED: readonly string[] = [
  `
name: In time
touches: {I hit: 1}
rules:
  - {name: Soon, when: "I parry, then within 2 s I hit", pays: 1 bonus to me}
  - {name: Late, when: "they strike, then after 2 s or more I hit", pays: 1 bonus to me each time}
  - {name: Next, when: "I parry, next I riposte and hit", pays: 1 bonus to me}
  - {name: Quiet, when: "I hit, then within 1.5 s they never hit", pays: 1 bonus to me}
  - {name: Calm, when: "I feint, then within 1 s they never parry, then within 3 s I strike", pays: 0.5 bonus to me each time}
  - {name: Short, when: I feint for 3 s or less, pays: 0.5 bonus to me}
  - {name: Long, when: I parry for 3 s or more, pays: 0.5 bonus to me}
  - {name: Sudden, when: "they strike, at once within 1 s I parry", pays: 1 bonus to them}
`,
  `
name: Alike
touches: {I hit: 1}
rules:
  - {name: Elsewhere, when: I hit another target, pays: 1 bonus to me}
  - {name: There again, when: "I feint, then I hit the same target", pays: 1 bonus to me}
  - {name: As theirs, when: I hit the same target as theirs, pays: 0.5 bonus to me each time}
  - {name: Other form, when: "I strike, next I strike with another form and hit", pays: 1 bonus to me}
  - {name: Not there, when: "I hit, then they never strike to the same target as theirs", pays: 1 bonus to me}
  - {name: Head or new, when: I strike to the head or another target, pays: 0.5 bonus to me each time}
`,
];

export const TIMED_SETS: readonly RuleSet[] = TIMED.map(ruleSetOf);

const SWAPPED = { red: "blue", blue: "red", both: "both", nobody: "nobody" } as const;

/** The same bout with the two fencers' names swapped. */
export const mirrored = (sheet: BoutSheet): BoutSheet =>
  sheet.map((line): SheetLine => {
    if (line.type === "exchange")
      return { ...line, acts: line.acts.map((act) => ({ ...act, by: SWAPPED[act.by] })) };
    if (line.type === "weaker") return { ...line, side: SWAPPED[line.side] };
    return "side" in line && line.side !== undefined ? { ...line, side: SWAPPED[line.side] } : line;
  });

export function shuffled<T>(random: Random, list: readonly T[]): T[] {
  const done = [...list];
  for (let i = done.length - 1; i > 0; i--) {
    const j = random.below(i + 1);
    [done[i], done[j]] = [done[j] as T, done[i] as T];
  }
  return done;
}
