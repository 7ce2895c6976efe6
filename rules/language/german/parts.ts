/** German marks, picks and the bout's own sentences. */
import type { Afterblows, BoutRules, Doubles, End, Panel, Start, Ties, Wins } from "../tree-bout.ts";
import type { Attribute, Change, Keeper, Mark, MarkStart, OwnWord, Pick, PickTime } from "../tree.ts";
import type { BoutSentences } from "../wording.ts";
import { number } from "./phrase.ts";
import { conditionsText, timesText, unitText } from "./sentences.ts";
import { KEYS_OF_CLASS, quoted, TARGETS } from "./words.ts";

export function ownWordText(word: OwnWord): string {
  if (word.sameAs !== undefined) return `ein anderes Wort für ${quoted(word.sameAs)}`;
  if (word.of !== undefined)
    return word.is === "target" ? `ein Teil von ${quoted(word.of)}` : `eine Art von ${quoted(word.of)}`;
  if (word.strikes === true) return "eine Aktion, die schlägt";
  return KEYS_OF_CLASS[word.is] ?? quoted(word.is);
}

const KEEPERS: Readonly<Record<Keeper, string>> = {
  "each fencer": "für jeden Fechter",
  "the bout": "für den Kampf",
  "each exchange": "für jeden Gang",
  "each fencer in each exchange": "für jeden Fechter in jedem Gang",
  "each fencer tonight": "für jeden Fechter heute Abend",
  "each team tonight": "für jede Mannschaft heute Abend",
  "each pair tonight": "für jedes Paar heute Abend",
  "the hall": "für die Halle",
};
const KINDS: Readonly<Record<Mark["is"], string>> = {
  count: "eine Zahl",
  flag: "ein Schalter",
  set: "eine Sammlung",
  note: "ein Merkzettel",
  token: "ein Pfand",
  roles: "Rollen",
};

export function markKindText(mark: Mark): string {
  if (mark.is === "roles") {
    const [first, second] = mark.roles ?? ["", ""];
    return `Rollen ${quoted(first)} und ${quoted(second)} ${KEEPERS[mark.for]}`;
  }
  if (mark.is === "token" && mark.for === "the bout") return KINDS.token;
  return `${KINDS[mark.is]} ${KEEPERS[mark.for]}`;
}

const HOLDERS: Readonly<Record<Extract<MarkStart, { with: string }>["with"], string>> = {
  red: "Rot",
  blue: "Blau",
  "the last loser": "dem letzten Verlierer",
  "the last winner": "dem letzten Sieger",
  "the weaker": "dem Schwächeren",
  "the stronger": "dem Stärkeren",
  nobody: "niemandem",
};

export function markStartText(start: MarkStart): string {
  if ("at" in start) return start.at === "the rank gap" ? "beim Rangunterschied" : `bei ${number(start.at)}`;
  if ("on" in start) return start.on ? "an" : "aus";
  return `bei ${HOLDERS[start.with]}`;
}

const ATTRIBUTES: Readonly<Record<Attribute, string>> = {
  blow: "den Schlag",
  form: "die Schlagart",
  target: "das Ziel",
  opening: "die Blöße",
  action: "die Aktion",
  side: "die Seite",
  guard: "die Hut",
  hand: "die Hand",
  fencer: "den Fechter",
  partner: "den Gegner",
};
const PASSES = { me: "mich", them: "den Gegner", nobody: "niemanden" } as const;

function deedText(does: Change["does"]): string {
  switch (does.is) {
    case "up":
    case "down":
    case "to": {
      const sign = { up: "plus", down: "minus", to: "auf" }[does.is];
      return `${sign} ${number(does.n)}${does.times ? ` ${timesText(does.times)}` : ""}`;
    }
    case "on":
      return "an";
    case "off":
      return "aus";
    case "gains":
      return `sammelt ${ATTRIBUTES[does.what]}`;
    case "becomes":
      return `merkt sich ${ATTRIBUTES[does.what]}`;
    case "passes":
      return `geht an ${PASSES[does.to]}`;
    case "changes hands":
      return "wechselt den Besitzer";
  }
}

export function changeText({ does, when, eachTime }: Change): string {
  const deed = deedText(does);
  if (when.is === "every") return `${deed} nach je ${number(when.exchanges)} Gängen`;
  const all = when.all.length === 0 ? "" : `: ${conditionsText(when.all)}`;
  if (when.is === "end of bout") return `${deed} am Ende des Kampfes${all === "" ? "" : `, wenn gilt${all}`}`;
  return `${deed}${eachTime === true ? " jedes Mal" : ""}, wenn gilt${all}`;
}

export const PICK_BY: Readonly<Record<Pick["by"], string>> = {
  "each fencer": "jeder Fechter",
  "the coach": "der Trainer",
  "the coach for each fencer": "der Trainer für jeden Fechter",
  chance: "der Zufall",
  "chance for each fencer": "der Zufall für jeden Fechter",
  "the judge": "der Richter",
  "the list": "die Liste der Reihe nach",
};
const TIMES: Readonly<Record<Extract<PickTime, { at: string }>["at"], string>> = {
  "before the bout": "vor dem Kampf",
  "after the bout": "nach dem Kampf",
  "before the evening": "vor dem Abend",
  "after the evening": "nach dem Abend",
  "before each exchange": "vor jedem Gang",
  "after each exchange": "nach jedem Gang",
};
export function pickTimeText(time: PickTime): string {
  if ("at" in time) return TIMES[time.at];
  if ("everySeconds" in time) return `alle ${number(time.everySeconds)} s`;
  return `nach je ${number(time.everyExchanges)} Gängen`;
}
const SEEN = {
  "the table": "der Tisch",
  "the coach": "der Trainer",
  "the fencer": "der Fechter selbst",
} as const;
export const seenByText = (seenBy: NonNullable<Pick["seenBy"]>): string =>
  typeof seenBy === "string" ? SEEN[seenBy] : quoted(seenBy.role);

const WINS: Readonly<Record<Wins, string>> = {
  "who has more points": "wer mehr Punkte hat",
  "who has fewer points against": "wer weniger Punkte gegen sich hat",
  "who has more bonus": "wer mehr Bonus hat",
  nobody: "niemand",
};
const PANELS: Readonly<Record<Panel, string>> = {
  "the referee decides": "der Obmann entscheidet",
  majority: "die Mehrheit",
  "two of three or again": "zwei von drei, sonst wird wiederholt",
  "weighted jury": "gewichtete Stimmen",
  average: "der Durchschnitt",
  "the higher value": "der höhere Wert",
  "two judges a fencer": "zwei Richter je Fechter",
  "the one who is hit decides": "wer getroffen ist, sagt es",
};

function endText(end: End): string {
  switch (end.is) {
    case "points":
      return `bei ${points(end.n)}${end.ahead === undefined ? "" : ` und ${number(end.ahead)} Vorsprung`}`;
    case "bonus":
      return `bei ${unitText(end.n, "bonus")}`;
    case "exchanges":
      return `nach ${number(end.n)} Gängen`;
    case "minutes":
      return `nach ${number(end.n)} min`;
    case "ahead":
      return `bei ${points(end.n)} Vorsprung`;
    case "doubles":
      return `bei ${number(end.n)} Doppeltreffern${end.bothLose === true ? ", beide verlieren" : ""}`;
    case "team points": {
      const last = points(end.numbers.at(-1) ?? 0);
      const before = end.numbers.slice(0, -1).map(number);
      return `eine Mannschaft bei ${before.length === 0 ? "" : `${before.join("; ")}; dann `}${last}`;
    }
  }
}
/** Behind "bei": the dative. */
const points = (n: number): string => `${number(n)} ${n === 1 ? "Punkt" : "Punkten"}`;

function startText(start: Start): string {
  switch (start.is) {
    case "blades engaged":
      return "gebundene Klingen";
    case "back line":
      return "der Stärkere steht an der hinteren Linie";
    case "time left":
      return `es bleiben ${number(start.seconds)} s`;
    case "head start": {
      const who = start.who === "the weaker" ? "der Schwächere" : "der Stärkere";
      const had =
        typeof start.points === "number"
          ? unitText(start.points, "points")
          : `${quoted(start.points.mark)} in Punkten`;
      return `${who} hat ${had}`;
    }
  }
}

const PLAIN_TIES = {
  draw: "Unentschieden",
  "sudden death": "der nächste Treffer entscheidet",
  "priority minute": "eine Minute mit ausgelostem Vorteil",
  "judges' choice": "die Richter wählen",
  "who hit first": "wer zuerst traf",
  "who hit last": "wer zuletzt traf",
} as const;
function tiesText(ties: Ties): string {
  if (ties.is === "more seconds") return `${number(ties.n)} s mehr`;
  if (ties.is !== "fewer" && ties.is !== "more") return PLAIN_TIES[ties.is];
  const then = ties.otherwise === undefined ? "" : `, sonst ${tiesText(ties.otherwise)}`;
  return `${ties.is === "fewer" ? "weniger" : "mehr"} ${quoted(ties.mark)}${then}`;
}

const DOUBLES: Readonly<Record<Doubles["is"], string>> = {
  "score nothing": "zählen nichts",
  "both score": "beide punkten",
  "the difference scores": "der Unterschied zählt",
  "1 off each": "jedem 1 ab",
};
const AFTERBLOWS: Readonly<Record<Afterblows["is"], string>> = {
  "both score": "beide punkten",
  "score nothing": "zählen nichts",
  "annul the hit": "löschen den Treffer",
  "half to the second": "die Hälfte für den Zweiten (2 zu 1)",
  "take off 1": "nehmen 1 weg",
  "the difference scores": "der Unterschied zählt",
};
function afterblowsText(policy: Afterblows): string {
  const leave = "leave" in policy && policy.leave === 1 ? ", lassen aber 1" : "";
  return `${AFTERBLOWS[policy.is]}${leave}${policy.onlyOf === undefined ? "" : `, nur von ${quoted(policy.onlyOf)}`}`;
}

function bonusText({ countsTowardsTheWin: win, countsTowardsTheCap: cap }: BoutRules["bonus"]): string {
  if (win && cap) return "zählt für Sieg und Grenze";
  return win ? "zählt für den Sieg" : cap ? "zählt für die Grenze" : "bleibt für sich";
}
function atTheEndText(atTheEnd: BoutRules["atTheEnd"]): string {
  if (atTheEnd === "stays apart") return "der Bonus bleibt für sich";
  const { every, make, rest } = atTheEnd;
  return `je ${number(every)} Bonus werden ${unitText(make, "points")}, der Rest ${rest === "stays" ? "bleibt" : "verfällt"}`;
}

export const boutText = (bout: BoutRules): BoutSentences => ({
  ends: bout.ends.map(endText),
  starts: bout.starts.map(startText),
  wins: WINS[bout.wins],
  clock: bout.clock === "running" ? "läuft durch" : "steht beim Halt",
  halt:
    bout.halt.on === "target"
      ? `nur bei Treffern ${TARGETS[bout.halt.target]?.[1] ?? `zu ${quoted(bout.halt.target)}`}`
      : "bei jedem Treffer",
  ties: tiesText(bout.ties),
  doubles:
    DOUBLES[bout.doubles.is] +
    (bout.doubles.every === undefined ? "" : ` bei je ${number(bout.doubles.every)} Doppeltreffern`),
  afterblows: afterblowsText(bout.afterblows),
  simultaneous: bout.simultaneous === "both score" ? "beide punkten" : "zählt nichts",
  panel: PANELS[bout.panel],
  limits: bout.limit === undefined ? "" : `${unitText(bout.limit, "points")} je Fechter`,
  "at the end": atTheEndText(bout.atTheEnd),
  bonus: bonusText(bout.bonus),
});
