/** The lines of a bout sheet about what lasts longer than a bout: who fences for which team, what was had, the hall. */
import { HAD_OF, type HadLine, type HadOf, type HadScope, type SheetLine } from "../record.ts";
import type { Side } from "../vocabulary.ts";
import { whoActs } from "./sheet-act.ts";
import * as faults from "./sheet-faults.ts";
import type { Complaint, Span } from "./sheet-faults.ts";
import { keyOf, type Token } from "./sheet-tokens.ts";
import { nearest } from "./sheet-words.ts";
import type { RuleSet } from "./tree.ts";

interface Line {
  readonly ruleSet: RuleSet;
  readonly complain: (complaint: Complaint, span: Span) => void;
  readonly source: string;
  readonly tokens: readonly Token[];
}

const NAME = /(?:"([^"]+)"|([^,#"]+?))/u.source;
const TEAM = `(?:\\s+of\\s+${NAME})?`;
const BOUT = new RegExp(`^\\s*bout\\s+R\\s+${NAME}${TEAM}\\s*,\\s*B\\s+${NAME}${TEAM}\\s*(?:#.*)?$`, "iu");

/** `bout R Ana of Larks, B Ben of Crows` */
export function readBout({ tokens, source, complain }: Line): SheetLine | undefined {
  if (tokens.length === 1) return { type: "bout" };
  const [, red1, red2, redTeam1, redTeam2, blue1, blue2, blueTeam1, blueTeam2] = BOUT.exec(source) ?? [];
  const red = red1 ?? red2;
  const blue = blue1 ?? blue2;
  const redTeam = redTeam1 ?? redTeam2;
  const blueTeam = blueTeam1 ?? blueTeam2;
  const said = tokens[1] as Token;
  if (red === undefined || blue === undefined) complain(faults.badBout(), said);
  else if (red === blue) complain(faults.oneFencerTwice(red), said);
  else
    return {
      type: "bout",
      red,
      blue,
      ...(redTeam === undefined ? {} : { redTeam }),
      ...(blueTeam === undefined ? {} : { blueTeam }),
    };
  return undefined;
}

export function readHall({ tokens, complain }: Line): SheetLine | undefined {
  if (tokens.length === 1) return { type: "hall" };
  complain(faults.badTail(tokens[1]?.text ?? ""), tokens[1] as Token);
  return undefined;
}

/** How a line writes where something was had. */
export const SCOPE_TEXT: Readonly<Record<HadScope, string>> = {
  bout: "in this bout",
  pair: "against this partner",
  team: "by the team",
  evening: "tonight",
  hall: "in the hall",
  match: "in the match",
  "team match": "by the team in the match",
};
const UNIT_TEXT: Readonly<Record<HadOf, readonly [one: string, more: string]>> = {
  points: ["point", "points"],
  bonus: ["bonus", "bonus"],
  times: ["time", "times"],
  warnings: ["warning", "warnings"],
  penalties: ["penalty", "penalties"],
  bouts: ["bout", "bouts"],
  wins: ["win", "wins"],
  exchanges: ["exchange", "exchanges"],
  doubles: ["double", "doubles"],
};
export const unitText = (of: HadOf, n: number): string => UNIT_TEXT[of][n === 1 ? 0 : 1];

const NUMBER = /(-?\d+(?:\.\d+)?)/u.source;
const WHO = /(R|B|Red|Blue)/u.source;
const HAD = new RegExp(
  `^\\s*had(?:\\s+${WHO})?(?:\\s+"([^"]+)")?\\s+${NUMBER}(?:\\s+to\\s+${NUMBER})?\\s+(\\p{L}+)\\s+([\\p{L}\\s]+?)\\s*(?:#.*)?$`,
  "iu",
);

/** `had R "Cover and answer" 2 bonus tonight`, `had "First" 1 time in the hall`, `had R 2 to 3 wins tonight` */
export function readHad({ tokens, source, ruleSet, complain }: Line): SheetLine | undefined {
  const [match, who, name, low = "", high = low, unit = "", where = ""] = HAD.exec(source) ?? [];
  const first = tokens[0] as Token;
  const of = HAD_OF.find((one) => UNIT_TEXT[one].includes(unit.toLowerCase()));
  const text = keyOf(where);
  const scope = (Object.keys(SCOPE_TEXT) as HadScope[]).find((one) => keyOf(SCOPE_TEXT[one]) === text);
  if (match === undefined || of === undefined || scope === undefined) {
    complain(faults.badHad(), first);
    return undefined;
  }
  const rule = name === undefined ? undefined : knownRule(name, spanOf(source, name), { ruleSet, complain });
  if (name !== undefined && rule === undefined) return undefined;
  const [least, most] = [Number(low), Number(high)];
  const side = sideOf(who);
  const line: HadLine = {
    type: "had",
    ...(side === undefined ? {} : { side }),
    ...(rule === undefined ? {} : { rule }),
    least: Math.min(least, most),
    most: Math.max(least, most),
    of,
    scope,
  };
  const complaint = hadComplaint(line);
  if (complaint) complain(complaint, first);
  return complaint ? undefined : line;
}

/** What no such line can say, in either form. */
export function hadComplaint({ side, scope, rule, of }: HadLine): Complaint | undefined {
  const ofBout = of === "exchanges" || of === "doubles";
  if (ofBout && scope !== "bout") return faults.hadOfBout();
  const shared = ofBout || scope === "hall" || (scope === "match" && of === "bouts");
  // A limit "for us both" is the two fencers' together.
  const both = rule !== undefined && (scope === "bout" || scope === "pair");
  if (!both && shared !== (side === undefined)) return shared ? faults.hadOfNobody() : faults.hadByWhom();
  if (rule !== undefined && !["points", "bonus", "times"].includes(of)) return faults.hadOfRule();
  if (rule === undefined && of === "times") return faults.hadTimes();
  const inMatch = scope === "match" || scope === "team match";
  return inMatch && rule !== undefined ? faults.hadOfRule() : undefined;
}

const GRANTED = new RegExp(
  `^\\s*granted\\s+(\\d+)\\s+${WHO}\\s+"([^"]+)"\\s*=\\s*(\\d+(?:\\.\\d+)?)\\s*(?:#.*)?$`,
  "iu",
);

/** `granted 3 R "First" = 1`: of exchange 3. */
export function readGranted({ tokens, source, ruleSet, complain }: Line): SheetLine | undefined {
  const [, exchange, who, name = "", n] = GRANTED.exec(source) ?? [];
  const side = sideOf(who);
  if (side === undefined) {
    complain(faults.badGranted(), tokens[1] ?? (tokens[0] as Token));
    return undefined;
  }
  const rule = knownRule(name, spanOf(source, name), { ruleSet, complain });
  return rule === undefined
    ? undefined
    : { type: "granted", exchange: Number(exchange), side, rule, n: Number(n) };
}

function sideOf(who: string | undefined): Side | undefined {
  const side = whoActs((who ?? "").toLowerCase());
  return side === "both" ? undefined : side;
}

function spanOf(source: string, text: string): Span {
  const from = source.indexOf(text);
  return { from, to: from + text.length };
}

/** The rule of this name, as the rule set writes it. */
export function knownRule(
  name: string,
  span: Span,
  { ruleSet, complain }: Pick<Line, "ruleSet" | "complain">,
): string | undefined {
  const names = ruleSet.rules.map((rule) => rule.name);
  const found = names.find((one) => keyOf(one) === keyOf(name));
  if (found !== undefined) return found;
  const cure = nearest(name, names);
  complain({ ...faults.unknownRule(name, names), ...(cure === undefined ? {} : { cure }) }, span);
  return undefined;
}
