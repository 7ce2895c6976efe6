/**
 * The rules of newer-rules.ts as a person would write them in a program made for them alone. Reviewed, and checked
 * against the scorer in every run: it must give the same awards.
 */
import {
  ARM,
  ATTACK,
  BIND,
  COUNTER,
  CROSS,
  CUT,
  DISARM,
  FEINT,
  GRAPPLE,
  type HandAct,
  type HandAwards,
  type HandExchange,
  HEAD,
  hits,
  LEG,
  PARRY,
  PRESS,
  RIPOSTE,
  SLIP,
  STOP,
  VOID,
  WITHDRAW,
} from "./handwritten.ts";

export interface NewerState {
  readonly points: [number, number];
  readonly blots: [number, number];
  /** For each fencer one bit for each of the last three exchanges in which he hit; the lowest is the latest. */
  readonly hitLately: [number, number];
  /** How the last exchange was: -1 there was none, 1 a double, 0 another. */
  lastDouble: number;
  exchanges: number;
  /** What both together have had from the rule that they share. */
  shared: number;
}

export const newerState = (): NewerState => ({
  points: [0, 0],
  blots: [0, 0],
  hitLately: [0, 0],
  lastDouble: -1,
  exchanges: 0,
  shared: 0,
});

type Fits = (act: HandAct) => boolean;

function some(acts: readonly HandAct[], by: number, fits: Fits): boolean {
  for (let i = 0; i < acts.length; i++) if (acts[i]!.by === by && fits(acts[i]!)) return true;
  return false;
}

/** One action of this fencer's, then later one of that fencer's. */
function inTurn(acts: readonly HandAct[], by: number, fits: Fits, then: number, later: Fits): boolean {
  let begun = false;
  for (let i = 0; i < acts.length; i++) {
    const act = acts[i]!;
    if (begun && act.by === then && later(act)) return true;
    if (act.by === by && fits(act)) begun = true;
  }
  return false;
}

/** One action, then my own very next, whatever they do between. */
function next(acts: readonly HandAct[], me: number, fits: Fits, later: Fits): boolean {
  let begun = false;
  for (let i = 0; i < acts.length; i++) {
    const act = acts[i]!;
    if (act.by !== me) continue;
    if (begun && later(act)) return true;
    begun = fits(act);
  }
  return false;
}

/** They strike, then I parry, then I hit. */
function parriesAndHits(acts: readonly HandAct[], me: number): boolean {
  let step = 0;
  for (let i = 0; i < acts.length; i++) {
    const act = acts[i]!;
    if (step === 0 && act.by !== me && isStrike(act)) step = 1;
    else if (step === 1 && act.by === me && act.kind === PARRY) step = 2;
    else if (step === 2 && act.by === me && act.hit) return true;
  }
  return false;
}

/** They attack, at once I counter-attack and hit. */
function counters(acts: readonly HandAct[], me: number): boolean {
  for (let i = 1; i < acts.length; i++) {
    const [before, act] = [acts[i - 1]!, acts[i]!];
    const isCounter = act.kind === COUNTER || act.kind === STOP;
    if (before.by !== me && before.kind === ATTACK && act.by === me && isCounter && act.hit) return true;
  }
  return false;
}

const kind =
  (wanted: number): Fits =>
  (act) =>
    act.kind === wanted;
const isStrike: Fits = (act) => act.kind <= STOP;
const voids: Fits = (act) => act.kind === VOID || act.kind === SLIP;
const attacks = kind(ATTACK);
const feints = kind(FEINT);
const parries = kind(PARRY);
const binds = kind(BIND);
const presses = kind(PRESS);
const disarms = kind(DISARM);
const grapples = kind(GRAPPLE);
const withdraws = kind(WITHDRAW);
const slips = kind(SLIP);
const crosses = kind(CROSS);
const lands: Fits = (act) => act.hit;
const hitsArm: Fits = (act) => act.hit && act.target === ARM;
const hitsHead: Fits = (act) => act.hit && act.target === HEAD;
const hitsWithCut: Fits = (act) => act.hit && act.form === CUT;
const cutsLeg: Fits = (act) => act.hit && act.form === CUT && act.target === LEG;
const isCut: Fits = (act) => act.kind <= STOP && act.form === CUT;
const toLeg: Fits = (act) => act.kind <= STOP && act.target === LEG;
const ripostes: Fits = (act) => act.hit && act.kind === RIPOSTE;
const stops: Fits = (act) => act.hit && act.kind === STOP;

const SHARED_CAP = 4;
const TOGETHER = 9;

/** Scores one exchange; every condition reads the state as the exchange began. */
export function newerScore({ acts, double }: HandExchange, state: NewerState, awards: HandAwards): void {
  const { rules, touch } = awards;
  rules.fill(0);
  for (let me = 0; me < 2; me++) {
    let worth = 0;
    for (const act of acts)
      if (act.by === me && act.hit) worth = Math.max(worth, act.target === HEAD ? 2 : 1);
    touch[me] = double ? 0 : worth;
    awards.double[me] = double ? -1 : 0;
  }
  for (let me = 0; me < 2; me++) scoreFor(acts, me, state, awards);
  share(state, rules);
  carryOn(acts, double, state, awards);
}

function scoreFor(acts: readonly HandAct[], me: number, state: NewerState, awards: HandAwards): void {
  const { rules, touch } = awards;
  const they = 1 - me;
  const [mine, theirs] = [state.blots[me]!, state.blots[they]!];
  const lead = state.points[me]! - state.points[they]!;
  const iHit = hits(acts, me);
  const theyHit = hits(acts, they);
  if (mine + theirs >= 2 && parriesAndHits(acts, me)) rules[me] = 1;
  if (mine + 1 <= theirs && next(acts, me, feints, hitsArm)) rules[2 + me] = 1;
  if (iHit && inTurn(acts, they, parries, me, hitsWithCut)) {
    const three = Number(some(acts, me, feints)) + Number(some(acts, they, binds)) + Number(lead < 0);
    if (three >= 2) rules[4 + me] = inTurn(acts, me, feints, me, hitsWithCut) ? 3 : 2;
  }
  if (some(acts, me, ripostes) && !some(acts, they, parries) && !some(acts, they, voids)) rules[6 + me] = 1;
  const often = bits(state.hitLately[me]!) >= 2 && inTurn(acts, me, attacks, me, lands);
  if (often) rules[8 + me] = 1;
  if (inTurn(acts, me, binds, me, lands) && !inTurn(acts, they, feints, me, parries)) rules[10 + me] = 0.5;
  if (lead <= 0 && inTurn(acts, they, isCut, me, cutsLeg)) rules[12 + me] = 1;
  if (!often && inTurn(acts, me, presses, me, lands)) rules[14 + me] = 0.5;
  if (state.lastDouble === 0 && inTurn(acts, me, lands, me, withdraws)) rules[16 + me] = 0.5;
  if (!theyHit && some(acts, me, disarms)) rules[TOGETHER * 2 + me] = 1;
  if (counters(acts, me)) rules[22 + me] = touch[me]!;
  if (
    mine + theirs > 0 &&
    inTurn(acts, they, withdraws, me, hitsHead) &&
    !inTurn(acts, me, isStrike, they, voids)
  )
    rules[24 + me] = 0.5 * (mine + theirs);
  // What is paid to both is paid once, whoever of them earned it.
  if (inTurn(acts, me, grapples, they, grapples) || inTurn(acts, they, grapples, me, grapples))
    rules[26 + me] = 0.5;
  if (state.exchanges >= 2 && inTurn(acts, they, toLeg, me, slips)) rules[28 + me] = 1;
  if (next(acts, me, parries, lands)) rules[30 + me] = 1;
  if (!theyHit && inTurn(acts, they, feints, me, stops)) rules[32 + me] = 2;
  if (lead > 1 && some(acts, they, crosses)) rules[34 + me] = 1;
  if (inTurn(acts, they, feints, me, binds)) {
    const three = Number(iHit) + Number(theyHit) + Number(some(acts, they, parries));
    if (three < 2) rules[38 + me] = 0.5;
  }
}

/** One limit for both: two who are due at once share what is left. */
function share(state: NewerState, rules: Float64Array): void {
  const [red, blue] = [rules[TOGETHER * 2]!, rules[TOGETHER * 2 + 1]!];
  const room = Math.max(0, SHARED_CAP - state.shared);
  if (red + blue > room) {
    rules[TOGETHER * 2] = Math.min(red, Math.max(room / 2, room - blue));
    rules[TOGETHER * 2 + 1] = Math.min(blue, Math.max(room / 2, room - red));
  }
  state.shared += rules[TOGETHER * 2]! + rules[TOGETHER * 2 + 1]!;
}

function carryOn(acts: readonly HandAct[], double: boolean, state: NewerState, awards: HandAwards): void {
  for (let me = 0; me < 2; me++) {
    state.points[me]! += awards.touch[me]! + awards.double[me]! + awards.rules[6 * 2 + me]!;
    if (some(acts, me, crosses)) state.blots[me]! += 1;
    state.hitLately[me] = ((state.hitLately[me]! << 1) | (hits(acts, me) ? 1 : 0)) & 7;
  }
  state.lastDouble = double ? 1 : 0;
  state.exchanges += 1;
}

const bits = (n: number): number => (n & 1) + ((n >> 1) & 1) + ((n >> 2) & 1);
