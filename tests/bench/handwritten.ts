/**
 * The bench's rule sets as a person would write them in a program made for them alone: one pass a rule over small
 * integers, for each fencer. Reviewed, and checked against the scorer in every run: it must give the same awards.
 */

/** What an action is, as small integers; everything is said. */
export interface HandAct {
  readonly by: 0 | 1;
  readonly kind: number;
  readonly form: number;
  readonly target: number;
  readonly hit: boolean;
}

export const KINDS = [
  "attack",
  "riposte",
  "counter-attack",
  "stop-hit",
  "parry",
  "feint",
  "void",
  "withdraw",
  "cross the feet",
  "slip the leg",
  "disarm",
  "bind",
  "press",
  "grapple",
] as const;
export const FORMS = ["none", "cut", "thrust"] as const;
export const TARGETS = ["none", "head", "torso", "arm", "leg"] as const;

export const [
  ATTACK,
  RIPOSTE,
  COUNTER,
  STOP,
  PARRY,
  FEINT,
  VOID,
  WITHDRAW,
  CROSS,
  SLIP,
  DISARM,
  BIND,
  PRESS,
  GRAPPLE,
] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13] as const;
export const [CUT, THRUST] = [1, 2] as const;
export const [HEAD, ARM, LEG] = [1, 3, 4] as const;

export interface HandExchange {
  readonly acts: readonly HandAct[];
  readonly double: boolean;
}

export interface HandState {
  readonly points: [number, number];
  readonly bonus: [number, number];
  /** Bonus had from rules 0, 3 and 16, and firings of rule 15, each for Red and Blue. */
  readonly had: [number, number][];
}

export const handState = (): HandState => ({
  points: [0, 0],
  bonus: [0, 0],
  had: [
    [0, 0],
    [0, 0],
    [0, 0],
    [0, 0],
  ],
});

const isStrike = (act: HandAct): boolean => act.kind <= STOP;

/** What the last exchange paid, by rule and fencer: points in `points`, bonus in `bonus`. */
export interface HandAwards {
  readonly touch: Float64Array;
  readonly double: Float64Array;
  readonly rules: Float64Array;
}
export const handAwards = (): HandAwards => ({
  touch: new Float64Array(2),
  double: new Float64Array(2),
  rules: new Float64Array(40),
});

export function hits(acts: readonly HandAct[], me: number): boolean {
  for (let i = 0; i < acts.length; i++) if (acts[i]!.by === me && acts[i]!.hit) return true;
  return false;
}

type Match = (acts: readonly HandAct[], me: number) => boolean;

/** The rules in the order of scoring-rules.ts; true where the phrase is there. */
const MATCHES: readonly Match[] = [
  (acts, me) => {
    let step = 0;
    for (const act of acts) {
      if (step === 0 && act.by !== me && isStrike(act) && act.target === HEAD) step = 1;
      else if (step === 1 && act.by === me && act.kind === PARRY) step = 2;
      else if (step === 2 && act.by === me && act.kind === RIPOSTE && act.hit) return true;
    }
    return false;
  },
  (acts, me) => {
    let feint = false;
    for (const act of acts) {
      if (act.by !== me && act.kind === FEINT) feint = true;
      else if (
        feint &&
        act.by === me &&
        act.kind === STOP &&
        act.form === CUT &&
        act.target === ARM &&
        act.hit
      )
        return true;
    }
    return false;
  },
  (acts, me) => {
    let cut = false;
    for (const act of acts) {
      if (act.by !== me) continue;
      if (cut && act.hit && act.form === THRUST) return true;
      if (isStrike(act) && act.form === CUT) cut = true;
    }
    return false;
  },
  (acts, me) => {
    for (let i = 1; i < acts.length; i++) {
      const [before, act] = [acts[i - 1]!, acts[i]!];
      if (
        before.by !== me &&
        isStrike(before) &&
        before.target === HEAD &&
        act.by === me &&
        act.kind === PARRY
      )
        return true;
    }
    return false;
  },
  (acts, me) => acts.some((act) => act.by !== me && act.kind === CROSS),
  (acts, me) => {
    let hit = false;
    let away = false;
    for (const act of acts) {
      if (act.by !== me && act.hit) away = false;
      if (hit && act.by === me && act.kind === WITHDRAW) away = true;
      if (act.by === me && act.hit) hit = true;
    }
    return away;
  },
  (acts, me) => {
    let step = 0;
    for (const act of acts) {
      if (step === 0 && act.by !== me && isStrike(act) && act.target === LEG) step = 1;
      else if (step === 1 && act.by === me && act.kind === SLIP) step = 2;
      else if (step === 2 && act.by === me && act.hit && act.form === CUT && act.target === HEAD) return true;
    }
    return false;
  },
  (acts, me) => {
    let cuts = 0;
    for (const act of acts) {
      if (act.by !== me) continue;
      if (cuts >= 2 && act.hit && act.form === THRUST) return true;
      if (isStrike(act) && act.form === CUT) cuts++;
    }
    return false;
  },
  (acts, me) => acts.some((act) => act.by === me && act.kind === DISARM),
  (acts, me) => {
    for (let i = 1; i < acts.length; i++) {
      const [before, act] = [acts[i - 1]!, acts[i]!];
      if (before.by === me && before.kind === BIND && act.by === me && act.hit) return true;
    }
    return false;
  },
  (acts, me) => {
    let press = false;
    for (const act of acts) {
      if (act.by !== me) continue;
      if (press && act.hit) return true;
      if (act.kind === PRESS) press = true;
    }
    return false;
  },
  (acts, me) => {
    let feint = false;
    for (const act of acts) {
      if (feint && act.by === me && act.hit) return true;
      if (act.by !== me && act.kind === PARRY) feint = false;
      if (act.by === me && act.kind === FEINT) feint = true;
    }
    return false;
  },
  (acts, me) => {
    let step = 0;
    for (const act of acts) {
      if (step === 0 && act.by === me && act.kind === ATTACK) step = 1;
      else if (step === 1 && act.by !== me && act.kind === PARRY) step = 2;
      else if (step === 2 && act.by === me && act.hit && act.form === THRUST) return true;
    }
    return false;
  },
  (acts, me) => {
    for (let i = 1; i < acts.length; i++) {
      const [before, act] = [acts[i - 1]!, acts[i]!];
      const answer = act.by === me && (act.kind === COUNTER || act.kind === STOP) && act.hit;
      if (before.by !== me && before.kind === ATTACK && answer) return true;
    }
    return false;
  },
  (acts, me) => {
    let away = false;
    for (const act of acts) {
      if (away && act.by === me && act.hit && act.target === LEG) return true;
      if (act.by !== me && act.kind === WITHDRAW) away = true;
    }
    return false;
  },
  (acts, me) => acts.some((act) => act.by === me && act.hit && act.target === HEAD && act.form === THRUST),
  (acts, me) => acts.some((act) => act.by === me && act.hit && act.target === ARM),
  (acts, me) => {
    let step = 0;
    for (const act of acts) {
      if (step === 0 && act.by !== me && isStrike(act)) step = 1;
      else if (step === 1 && act.by === me && (act.kind === VOID || act.kind === SLIP)) step = 2;
      else if (step === 2 && act.by === me && act.hit) return true;
    }
    return false;
  },
  (acts, me) => acts.some((act) => act.by !== me && act.kind === GRAPPLE),
  (acts, me) => acts.some((act) => act.by === me && act.kind === RIPOSTE && act.hit),
];

const PAYS = [2, 2, 1, 0.5, 1, 1, 2, 2, 2, 1, 1, 1, 1, 1, 1, 0, 0.5, 1, 1, 1] as const;
const FADING = [2, 1, 0] as const;
/** Rule 10 pays points, every other bonus. */
const PRESS_RULE = 10;

/** Scores one exchange with the first `count` rules; 20 rules are 40 small loops. */
export function handScore(exchange: HandExchange, state: HandState, count: number, awards: HandAwards): void {
  const { acts } = exchange;
  const redHits = hits(acts, 0);
  const blueHits = hits(acts, 1);
  const lead = state.points[0] - state.points[1];
  const gained = [0, 0];
  awards.rules.fill(0);
  for (let me = 0; me < 2; me++) {
    let touch = 0;
    for (const act of acts)
      if (act.by === me && act.hit) touch = Math.max(touch, act.target === HEAD ? 2 : 1);
    awards.touch[me] = exchange.double ? 0 : touch;
    awards.double[me] = exchange.double ? -1 : 0;
    gained[me] = awards.touch[me]! + awards.double[me]!;
    const mine = me === 0 ? redHits : blueHits;
    const theirs = me === 0 ? blueHits : redHits;
    for (let rule = 0; rule < count; rule++) {
      if (!MATCHES[rule]!(acts, me)) continue;
      if ((rule === 1 || rule === 8) && theirs) continue;
      if (rule === 18 && mine) continue;
      if (rule === 19 && (me === 0 ? lead >= 0 : lead <= 0)) continue;
      const amount = due(rule, me, state);
      if (amount === 0) continue;
      awards.rules[rule * 2 + me] = amount;
      if (rule === PRESS_RULE) gained[me]! += amount;
      else state.bonus[me as 0 | 1] += amount;
    }
  }
  state.points[0] += gained[0]!;
  state.points[1] += gained[1]!;
}

function due(rule: number, me: number, { had }: HandState): number {
  if (rule === 15) {
    const fired = had[3]!;
    const amount = FADING[Math.min(fired[me]!, 2)]!;
    fired[me]!++;
    return amount;
  }
  const cap = rule === 0 ? 6 : rule === 3 || rule === 16 ? 2 : -1;
  const full = PAYS[rule]!;
  if (cap < 0) return full;
  const mine = had[rule === 0 ? 0 : rule === 3 ? 1 : 2]!;
  const amount = Math.min(full, cap - mine[me]!);
  mine[me]! += amount;
  return amount;
}
