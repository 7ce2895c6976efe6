/** German words for the words of the language. A word that is not here is said as it is, in quotation marks. */

/** An action as a verb: "ich pariere", "er pariert", "wir parieren", and what stands at the end: "greife ... an". */
export interface Verb {
  readonly forms: readonly [I: string, they: string, both: string];
  /** Said behind the verb, before places and manners: "die Klinge", "einen Nachschlag". */
  readonly object?: string;
  /** Said at the end of the clause: "an", "aus". */
  readonly end?: string;
}

const verb = (I: string, they: string, both: string, object = "", end = ""): Verb => ({
  forms: [I, they, both],
  ...(object === "" ? {} : { object }),
  ...(end === "" ? {} : { end }),
});

export const ACTIONS: Readonly<Record<string, Verb>> = {
  attack: verb("greife", "greift", "greifen", "", "an"),
  riposte: verb("ripostiere", "ripostiert", "ripostieren"),
  "counter-riposte": verb("kontere", "kontert", "kontern", "die Riposte"),
  remise: verb("setze", "setzt", "setzen", "", "nach"),
  redoublement: verb("greife", "greift", "greifen", "erneut", "an"),
  "counter-attack": verb("greife", "greift", "greifen", "in den Angriff hinein", "an"),
  "stop-hit": verb("falle", "fällt", "fallen", "in den Angriff"),
  "counter-time": verb("fechte", "ficht", "fechten", "im Kontertempo"),
  afterblow: verb("lande", "landet", "landen", "einen Nachschlag"),
  "pommel strike": verb("stoße", "stößt", "stoßen", "mit dem Knauf"),
  feint: verb("fintiere", "fintiert", "fintieren"),
  parry: verb("pariere", "pariert", "parieren"),
  void: verb("weiche", "weicht", "weichen", "", "aus"),
  "slip the leg": verb("ziehe", "zieht", "ziehen", "das Bein", "weg"),
  "touch blades": verb("nehme", "nimmt", "nehmen", "Kontakt mit der Klinge"),
  beat: verb("schlage", "schlägt", "schlagen", "die Klinge", "weg"),
  bind: verb("binde", "bindet", "binden"),
  engage: verb("binde", "bindet", "binden", "", "an"),
  "press the blade": verb("drücke", "drückt", "drücken", "auf die Klinge"),
  press: verb("drücke", "drückt", "drücken"),
  disengage: verb("wechsle", "wechselt", "wechseln", "", "durch"),
  "cut over": verb("hebe", "hebt", "heben", "die Klinge", "über"),
  "hold the point in line": verb("halte", "hält", "halten", "die Spitze in Linie"),
  threaten: verb("drohe", "droht", "drohen"),
  invite: verb("lade", "lädt", "laden", "", "ein"),
  control: verb("halte", "hält", "halten", "den anderen", "fest"),
  "control the weapon arm": verb("halte", "hält", "halten", "den Waffenarm", "fest"),
  grapple: verb("ringe", "ringt", "ringen"),
  disarm: verb("entwaffne", "entwaffnet", "entwaffnen"),
  "take down": verb("werfe", "wirft", "werfen", "den anderen", "zu Boden"),
  withdraw: verb("ziehe", "zieht", "ziehen", "", "ab"),
  advance: verb("gehe", "geht", "gehen", "", "vor"),
  "step out": verb("trete", "tritt", "treten", "", "aus dem Ring"),
  "drive them out": verb("treibe", "treibt", "treiben", "den anderen", "aus dem Ring"),
  "cross the feet": verb("kreuze", "kreuzt", "kreuzen", "die Füße"),
  "leave the guard": verb("gebe", "gibt", "geben", "die Hut", "auf"),
  "change the guard": verb("wechsle", "wechselt", "wechseln", "die Hut"),
  "drop the weapon": verb("verliere", "verliert", "verlieren", "die Waffe"),
  fall: verb("falle", "fällt", "fallen", "", "hin"),
  wait: verb("warte", "wartet", "warten"),
};

export const STRIKE = verb("schlage", "schlägt", "schlagen");
export const ACT = verb("handle", "handelt", "handeln");
export const BEGIN = verb("beginne", "beginnt", "beginnen");
export const MAKE = verb("mache", "macht", "machen");
export const RESULTS: Readonly<Record<"hit" | "miss" | "fall short", Verb>> = {
  hit: verb("treffe", "trifft", "treffen"),
  miss: verb("verfehle", "verfehlt", "verfehlen"),
  "fall short": verb("bleibe", "bleibt", "bleiben", "", "zu kurz"),
};
export const FORM_VERBS: Readonly<Record<string, Verb>> = {
  cut: verb("haue", "haut", "hauen"),
  thrust: verb("steche", "sticht", "stechen"),
  slice: verb("schneide", "schneidet", "schneiden"),
};

/** Behind "mit": the whole of it. */
export const WITHS: Readonly<Record<string, string>> = {
  "one hand": "einer Hand",
  "both hands": "beiden Händen",
  "off hand": "der freien Hand",
  lunge: "einem Ausfall",
  "passing step": "einem Passschritt",
  "gathering step": "einem Sammelschritt",
  "side step": "einem Seitschritt",
  "simple step": "einem Schritt",
  leap: "einem Sprung",
  "true edge": "der langen Schneide",
  "false edge": "der kurzen Schneide",
  flat: "der Fläche",
};
export const FORMS: Readonly<Record<string, string>> = { cut: "Hieb", thrust: "Stich", slice: "Schnitt" };
export const DIRECTIONS: Readonly<Record<string, string>> = {
  descending: "absteigenden",
  rising: "aufsteigenden",
  level: "waagerechten",
};

/** The German longsword names are German already; they only need their capital. */
const GERMAN_BLOW = /hau$|^absetzen$|^schnappen$|^zucken$|^durchwechseln$/u;
export const isGermanBlow = (name: string): boolean => GERMAN_BLOW.test(name);

/** A part of the body: what is hit, and where a strike goes. */
export type Part = readonly [hit: string, to: string, of: string];
const der = (noun: string): Part => [`den ${noun}`, `zum ${noun}`, `dem ${noun}`];
const die = (noun: string): Part => [`die ${noun}`, `zur ${noun}`, `der ${noun}`];
const das = (noun: string): Part => [`das ${noun}`, `zum ${noun}`, `dem ${noun}`];
const opening = (where: string): Part => [
  `die ${where.replaceAll("*", "e")} Blöße`,
  `zur ${where.replaceAll("*", "en")} Blöße`,
  `der ${where.replaceAll("*", "en")} Blöße`,
];
export const TARGETS: Readonly<Record<string, Part>> = {
  head: der("Kopf"),
  face: das("Gesicht"),
  throat: der("Hals"),
  torso: der("Rumpf"),
  chest: die("Brust"),
  belly: der("Bauch"),
  flank: die("Flanke"),
  back: der("Rücken"),
  arm: der("Arm"),
  forearm: der("Unterarm"),
  "weapon arm": der("Waffenarm"),
  hand: die("Hand"),
  "weapon hand": die("Waffenhand"),
  leg: das("Bein"),
  thigh: der("Oberschenkel"),
  shin: das("Schienbein"),
  foot: der("Fuß"),
  limb: ["Arm, Hand oder Bein", "zu Arm, Hand oder Bein", "Arm, Hand und Bein"],
  "upper opening": opening("ober*"),
  "lower opening": opening("unter*"),
  "upper left opening": opening("ober* link*"),
  "upper right opening": opening("ober* recht*"),
  "lower left opening": opening("unter* link*"),
  "lower right opening": opening("unter* recht*"),
};

export const SIDES: Readonly<Record<string, string>> = {
  right: "von rechts",
  left: "von links",
  above: "von oben",
};
export const GUARDS: Readonly<Record<string, string>> = {
  day: "aus dem Tag",
  ox: "aus dem Ochs",
  plough: "aus dem Pflug",
  fool: "aus dem Alber",
  "long point": "aus dem Langort",
  "wrath guard": "aus der Zornhut",
};

export const MANNERS: Readonly<Record<string, string>> = {
  cleanly: "sauber",
  "in one tempo": "in einem Tempo",
  "in two tempi": "in zwei Tempi",
  "in opposition": "in Opposition",
  "during the recovery": "während des Rückzugs",
  directly: "direkt",
  indirectly: "indirekt",
  "with a compound action": "mit einer zusammengesetzten Aktion",
  "keeping contact": "mit gehaltenem Kontakt",
  "from out of measure": "von außerhalb der Mensur",
  "from measure": "aus der Mensur",
  "strong to weak": "mit der Stärke an der Schwäche",
  "off line": "neben der Linie",
  "with the hand covered": "mit gedeckter Hand",
  "with the hand exposed": "mit ungedeckter Hand",
  high: "hoch",
  low: "tief",
  inside: "innen",
  outside: "außen",
  deep: "tief eindringend",
  shallow: "flach",
  "with control": "mit Beherrschung",
  "with quality": "mit guter Struktur",
  "with the buckler": "mit dem Buckler",
  "in the before": "im Vor",
  "in the after": "im Nach",
  "in the during": "im Indes",
};

export const KEYS_OF_CLASS: Readonly<Record<string, string>> = {
  action: "eine Aktion",
  manner: "eine Art und Weise",
  target: "ein Ziel",
  guard: "eine Hut",
  call: "ein Ruf",
  blow: "ein Schlag",
};

/** A name that the coach gave. */
export const quoted = (name: string): string => `„${name}“`;
