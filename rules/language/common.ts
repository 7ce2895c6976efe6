/** Words of no school, always known: what the trade says everywhere. Common practice, no source. */
import type { WordClass } from "../vocabulary.ts";
import type { Lexicon, Word } from "./lexicon.ts";

type Entry = Omit<Word, "name" | "class">;
type Entries = Readonly<Record<string, Entry>>;

const wordsOf = (wordClass: WordClass, entries: Entries): readonly Word[] =>
  Object.entries(entries).map(([name, entry]) => Object.assign({ name, class: wordClass }, entry));

const OFFENCE: Entries = {
  attack: { offence: true, gloss: "the first offensive action" },
  riposte: { offence: true, gloss: "the offensive action after one's own parry" },
  "counter-riposte": {
    offence: true,
    also: ["counter riposte"],
    gloss: "the riposte after parrying a riposte",
  },
  remise: { offence: true, gloss: "a second action at once, in the same line" },
  redoublement: { offence: true, also: ["redouble"], gloss: "a new action after the first was stopped" },
  "counter-attack": {
    offence: true,
    also: ["counter attack"],
    means: { kind: ["counter-attack", "stop-hit"] },
    gloss: "an offensive action into the other's attack",
  },
  "stop-hit": {
    offence: true,
    also: ["stop hit", "stop-cut", "stop-thrust"],
    gloss: "stops the other's attack",
  },
  "counter-time": {
    offence: true,
    also: ["act in counter-time"],
    gloss: "an action against a provoked counter-attack",
  },
  afterblow: {
    offence: true,
    verb: "land an afterblow",
    also: ["land an afterblow"],
    gloss: "a hit after having been hit",
  },
  "pommel strike": {
    offence: true,
    verb: "strike with the pommel",
    also: ["strike with the pommel", "pommel-strike"],
    gloss: "a strike with the pommel",
  },
};

const CONTACT = ["touch blades", "parry", "beat", "bind", "engage", "press the blade"];
const OTHER_ACTIONS: Entries = {
  feint: { gloss: "a strike that is not meant to land" },
  parry: { gloss: "covers with the weapon" },
  void: {
    also: ["evade", "evasion"],
    means: { kind: ["void", "slip the leg"] },
    gloss: "takes the target away from the strike",
  },
  "slip the leg": { gloss: "withdraws the leg from under a strike" },
  "touch blades": { also: ["make contact"], means: { kind: CONTACT }, gloss: "any contact of the blades" },
  beat: { gloss: "knocks the other blade aside" },
  bind: { gloss: "keeps the other blade in contact" },
  engage: { also: ["engagement"], gloss: "takes contact with the other blade" },
  "press the blade": { gloss: "pushes the other blade in contact" },
  press: { means: { kind: ["press", "press the blade"] }, gloss: "presses the other back or down" },
  disengage: { gloss: "passes the point under to the other side" },
  "cut over": { also: ["cut-over"], gloss: "passes the blade over to the other side" },
  "hold the point in line": { also: ["point in line"], gloss: "the arm stretched, the point threatening" },
  threaten: { gloss: "the point or edge ready to strike at once" },
  invite: { also: ["invitation"], gloss: "uncovers on purpose" },
  control: {
    means: { kind: ["control", "control the weapon arm"] },
    gloss: "holds the other or their weapon with the free hand",
  },
  "control the weapon arm": { gloss: "holds the other's weapon arm" },
  grapple: { means: { kind: ["grapple", "take down"] }, gloss: "closes in to wrestle" },
  disarm: { gloss: "takes the other's weapon away" },
  "take down": { also: ["takedown", "throw"], gloss: "puts the other on the ground" },
  withdraw: { also: ["get out of measure"], gloss: "goes out of measure" },
  advance: { also: ["step in"], gloss: "steps forward" },
  "step out": { also: ["ring-out", "leave the ring"], gloss: "goes over the line of the ring" },
  "drive them out": { also: ["drive out"], gloss: "makes the other step over the line" },
  "cross the feet": { gloss: "the feet cross in a step" },
  "leave the guard": { gloss: "gives up the guard" },
  "change the guard": { gloss: "goes from one guard to another" },
  "drop the weapon": { also: ["lose the weapon"], gloss: "loses hold of the weapon" },
  fall: { gloss: "goes to the ground" },
  wait: { gloss: "does nothing offensive" },
};

const FORMS: Entries = { cut: {}, thrust: {}, slice: {} };
const DIRECTIONS: Entries = {
  descending: { also: ["downward"] },
  rising: { also: ["upward", "ascending"] },
  level: { also: ["horizontal"] },
};
const EDGES: Entries = {
  "true edge": { also: ["long edge", "true-edge"] },
  "false edge": { also: ["short edge", "false-edge"] },
  flat: {},
};
const HANDS: Entries = {
  "one hand": { also: ["one-handed"] },
  "both hands": { also: ["two hands"] },
  "off hand": {},
};
const FOOTWORK: Entries = {
  lunge: {},
  "passing step": { also: ["pass", "pass step"] },
  "gathering step": {},
  "side step": { also: ["traverse"] },
  "simple step": { also: ["step"] },
  leap: {},
};

const TARGETS: Entries = {
  head: { also: ["mask"], means: { target: ["head", "face", "throat"] } },
  face: {},
  throat: { also: ["neck"] },
  torso: { also: ["body", "trunk"], means: { target: ["torso", "chest", "flank", "belly", "back"] } },
  chest: {},
  belly: {},
  flank: {},
  back: {},
  arm: { means: { target: ["arm", "forearm", "weapon arm"] } },
  forearm: {},
  "weapon arm": {},
  hand: { means: { target: ["hand", "weapon hand"] } },
  "weapon hand": {},
  leg: { means: { target: ["leg", "thigh", "shin", "foot"] } },
  thigh: {},
  shin: {},
  foot: {},
  limb: {
    also: ["limbs"],
    means: {
      target: ["limb", "arm", "forearm", "weapon arm", "hand", "weapon hand", "leg", "thigh", "shin", "foot"],
    },
  },
};

const SIDES: Entries = { right: {}, left: {}, above: {} };

const MANNERS: Entries = {
  cleanly: { gloss: "landed, and the other landed nothing" },
  "in one tempo": { also: ["in single time"], excludes: ["in two tempi"] },
  "in two tempi": { also: ["in double time"], excludes: ["in one tempo"] },
  "in opposition": { also: ["with opposition"] },
  "during the recovery": { also: ["in the recovery"] },
  directly: { excludes: ["indirectly"] },
  indirectly: { excludes: ["directly"] },
  "with a compound action": { also: ["compound"] },
  "keeping contact": { also: ["in contact"] },
  "from out of measure": { excludes: ["from measure"] },
  "from measure": { also: ["from in measure"], excludes: ["from out of measure"] },
  "strong to weak": { also: ["strong on weak"] },
  "off line": { also: ["off-line"] },
  "with the hand covered": { also: ["hand covered"], excludes: ["with the hand exposed"] },
  "with the hand exposed": { also: ["hand exposed"], excludes: ["with the hand covered"] },
  high: { also: ["in the high line"], excludes: ["low"] },
  low: { also: ["in the low line"], excludes: ["high"] },
  inside: { also: ["in the inside line"], excludes: ["outside"] },
  outside: { also: ["in the outside line"], excludes: ["inside"] },
  deep: { excludes: ["shallow"] },
  shallow: { excludes: ["deep"] },
  "with control": {},
  "with quality": { also: ["with structure"] },
  "with the buckler": {},
};

export const COMMON: Lexicon = {
  name: "Words of no school",
  sources: {},
  words: [
    ...wordsOf("action", OFFENCE),
    ...wordsOf("action", OTHER_ACTIONS),
    ...wordsOf("form", FORMS),
    ...wordsOf("direction", DIRECTIONS),
    ...wordsOf("edge", EDGES),
    ...wordsOf("hand", HANDS),
    ...wordsOf("footwork", FOOTWORK),
    ...wordsOf("target", TARGETS),
    ...wordsOf("side", SIDES),
    ...wordsOf("manner", MANNERS),
  ],
};

/** Manners that only an expert sees at speed; a rule that rests on one wants a named watcher. */
const HARD: ReadonlySet<string> = new Set([
  "during the recovery",
  "keeping contact",
  "from out of measure",
  "from measure",
  "in opposition",
  "with quality",
]);
export const isHard = (manner: string): boolean => HARD.has(manner) || /\btemp[oi]\b/.test(manner);

/** Manners that only a strike can have. */
export const OF_STRIKES: ReadonlySet<string> = new Set([
  "cleanly",
  "during the recovery",
  "directly",
  "indirectly",
  "off line",
  "from out of measure",
  "from measure",
  "deep",
  "shallow",
]);

/** What one fencer alone can do at a time: both cannot act in the other's recovery. */
export const NOT_BOTH: ReadonlySet<string> = new Set(["cleanly", "during the recovery"]);

/** Actions that are aimed at no part of the body. */
export const UNAIMED: ReadonlySet<string> = new Set([
  "withdraw",
  "advance",
  "step out",
  "drive them out",
  "cross the feet",
  "leave the guard",
  "change the guard",
  "drop the weapon",
  "fall",
  "wait",
]);
