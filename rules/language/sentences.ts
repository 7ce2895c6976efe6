/** Which piece of the grammar reads which sentence of the envelope; for whoever completes or checks one sentence alone. */
import type { Cursor } from "./cursor.ts";
import * as bout from "./parse-bout.ts";
import { parseAll } from "./parse-condition.ts";
import * as marks from "./parse-mark.ts";
import { parseEffect, parseLimits, parsePay, parseWatcher } from "./parse-pay.ts";
import { parsePhrase } from "./parse-phrase.ts";

/** When a rule that waits is tried. */
export const RULE_ENDS = ["the end of the bout", "the end of the evening"] as const;

/** By the path of its key: "rules.when" is under a rule, "marks.changes" under a mark, "touches" a key itself. */
export const SENTENCES = {
  touches: parsePhrase,
  phrases: parsePhrase,
  "picks.by": marks.parsePickBy,
  "picks.when": marks.parsePickTime,
  "picks.seen by": marks.parseSeenBy,
  "picks.shown": marks.parseShown,
  "marks.is": marks.parseMarkKind,
  "marks.starts": marks.parseMarkStart,
  "marks.changes": marks.parseChange,
  "bout.ends": bout.parseEnd,
  "bout.starts": bout.parseStart,
  "bout.wins": bout.parseWins,
  "bout.clock": bout.parseClock,
  "bout.halt": bout.parseHalt,
  "bout.ties": bout.parseTies,
  "bout.doubles": bout.parseDoubles,
  "bout.afterblows": bout.parseAfterblows,
  "bout.simultaneous": bout.parseSimultaneous,
  "bout.panel": bout.parsePanel,
  "bout.limits": bout.parseTeamLimit,
  "bout.at the end": bout.parseAtTheEnd,
  "bout.bonus": bout.parseBonus,
  "rules.at": (c: Cursor) => c.needOneOf(RULE_ENDS),
  "rules.when": parsePhrase,
  "rules.if": parseAll,
  "rules.unless": parseAll,
  "rules.pays": parsePay,
  "rules.does": parseEffect,
  "rules.at most": parseLimits,
  "rules.watch": parseWatcher,
} as const satisfies Readonly<Record<string, (c: Cursor) => unknown>>;

export type SentenceKind = keyof typeof SENTENCES;
