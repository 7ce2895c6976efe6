/** One bout computed anew from its events: the figures that were acknowledged must come out again. */
import type { Scorer } from "../../rules/index.ts";
import type { Bout } from "../bout/bout.ts";
import { checkDraws, commitmentOf } from "../bout/chance.ts";
import type { BoutEvent, TallyStamp } from "../bout/events.ts";
import { evolveBout } from "../bout/evolve.ts";
import { SCORER_VERSION } from "../bout/decide.ts";
import { stampOf } from "../bout/scoring.ts";
import { answersKey, claimsKey, claimsOf } from "../meet/claiming.ts";
import type { Difference } from "./difference.ts";
import { CURES } from "./difference.ts";
import { isBoutEvent } from "./kinds.ts";
import { NameCheck, type Known } from "./named.ts";
import { short, type CheckedShelf } from "./shelf.ts";

/** An event as it is stored, as far as this check needs it. */
export interface Stored {
  readonly version: number;
  readonly type: string;
  readonly at: number;
  readonly data: unknown;
}

/** What a bout leaves behind for the check of the evening. */
export interface BoutTrace {
  /** Every rule set under which it was fenced. */
  readonly ruleSets: readonly string[];
  /** A figure came out otherwise than it was stored. */
  readonly differs: boolean;
  /** Every event could be taken in. */
  readonly whole: boolean;
  /** Its first event; missing where it cannot be read. */
  readonly called?: Extract<BoutEvent, { readonly type: "BoutCalled" }>;
  /** Everything that it claimed of the hall at some time (claims.ts). */
  readonly claimed: ReadonlySet<string>;
  /** The hall's answers as it took them in. */
  readonly answers: readonly { readonly version: number; readonly key: string }[];
}

const figures = ({ points, bonus, open }: TallyStamp): string =>
  `points ${points.red} to ${points.blue}, bonus ${bonus.red} to ${bonus.blue}, ${open} open`;

const stampKey = ({ points, bonus, open }: TallyStamp): string =>
  JSON.stringify([points.red, points.blue, bonus.red, bonus.blue, open]);

/** Takes in one bout event after the other; `done` says the rest. */
export class BoutCheck {
  private readonly where: string;
  private readonly id: string;
  private readonly shelf: CheckedShelf;
  private readonly names: NameCheck;
  private readonly found: Difference[] = [];
  private readonly events: BoutEvent[] = [];
  private readonly claimed = new Set([claimsKey([])]);
  private readonly answers: { version: number; key: string }[] = [];
  private readonly commitments: string[] = [];
  private readonly ruleSets = new Set<string>();
  private called: BoutTrace["called"];
  private bout: Bout | undefined;
  /** What comes after an event that cannot be taken in means nothing. */
  private lost = false;
  private wrongFigures = 0;

  constructor(id: string, where: string, around: { readonly shelf: CheckedShelf; readonly known: Known }) {
    this.id = id;
    this.where = where;
    this.shelf = around.shelf;
    this.names = new NameCheck(where, around.known);
  }

  /** The stream's next event, in order. */
  take(stored: Stored): void {
    if (this.lost) return;
    const event = this.read(stored);
    if (event === undefined) return;
    const { version } = stored;
    try {
      this.found.push(...this.names.bout(event, version));
      this.checkRuleSet(event, version);
      this.bout = evolveBout(this.bout, event, version, this.shelf.scorers);
      this.events.push(event);
      this.follow(event, version, this.bout);
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error);
      this.lose(version, `Event ${version} cannot be taken in: ${why}`);
    }
  }

  /** Every difference of this bout, and what the evening's check needs of it. */
  done(): { readonly differences: readonly Difference[]; readonly trace: BoutTrace } {
    if (!this.lost) this.checkChance();
    if (this.wrongFigures > 1)
      this.tell(undefined, `${this.wrongFigures - 1} later figures differ as well.`, CURES.askReferee);
    const { claimed, answers, called } = this;
    return {
      differences: this.found,
      trace: {
        ruleSets: [...this.ruleSets],
        differs: this.wrongFigures > 0,
        whole: !this.lost,
        claimed,
        answers,
        ...(called === undefined ? {} : { called }),
      },
    };
  }

  private tell(version: number | undefined, sentence: string, cure: string): void {
    this.found.push({ where: this.where, ...(version === undefined ? {} : { version }), sentence, cure });
  }

  private lose(version: number, sentence: string): void {
    this.lost = true;
    this.tell(version, sentence, CURES.goBack);
  }

  private read({ version, type, at, data }: Stored): BoutEvent | undefined {
    if (!isBoutEvent(data)) {
      this.lost = true;
      this.tell(
        version,
        `Event ${version} (${type}) is of no kind that this version of Garland knows.`,
        CURES.otherVersion,
      );
      return undefined;
    }
    if (data.type !== type || data.at !== at)
      this.tell(version, `Event ${version} says another kind or time than its row.`, CURES.goBack);
    if (version === 1 && data.type === "BoutCalled" && data.bout === this.id) this.called = data;
    else if (version === 1) {
      this.lose(version, `Event 1 does not call the bout ${this.id}.`);
      return undefined;
    }
    return data;
  }

  private checkRuleSet(event: BoutEvent, version: number): void {
    if (event.type !== "BoutCalled" && event.type !== "RuleSetChanged") return;
    this.ruleSets.add(event.ruleSet);
    if (this.shelf.has(event.ruleSet)) return;
    const sentence = `Event ${version} names the rule set ${short(event.ruleSet)}, whose text the ledger lacks.`;
    this.tell(version, sentence, CURES.goBack);
  }

  private follow(event: BoutEvent, version: number, bout: Bout): void {
    const scorer = this.shelf.scorers(bout.ruleSet);
    // Without its rule set nothing can be scored; that is said already.
    if (scorer !== undefined) {
      if ("tally" in event && event.tally !== undefined) this.compare(event.tally, version, bout, scorer);
      if (event.type === "BoutEnded" && event.said !== true) this.checkEnd(event.ending, version, bout);
      this.claimed.add(claimsKey(claimsOf(bout, scorer)));
    }
    if (event.type === "ClaimsAnswered") this.answers.push({ version, key: answersKey(event.granted) });
    if (event.type === "SeedCommitted") this.commitments.push(event.commitment);
    if (event.type === "SeedShown" && commitmentOf(event.seed) !== this.commitments[event.no - 1])
      this.tell(
        version,
        `The seed shown in event ${version} is not the one that was committed to.`,
        CURES.drawAgain,
      );
  }

  private compare(stored: TallyStamp, version: number, bout: Bout, scorer: Scorer): void {
    const now = stampOf(bout.tally);
    if (stampKey(now) === stampKey(stored)) return;
    this.wrongFigures += 1;
    if (this.wrongFigures > 1) return;
    const by = this.called?.scorer;
    const other =
      by === undefined || by === SCORER_VERSION
        ? ""
        : ` It was scored by scorer ${by}; this is scorer ${SCORER_VERSION}.`;
    const sentence =
      `Event ${version} says ${figures(stored)}; computed anew under "${scorer.ruleSet.name}" ` +
      `it is ${figures(now)}.${other}`;
    this.tell(version, sentence, CURES.askReferee);
  }

  private checkEnd(ending: string, version: number, { tally }: Bout): void {
    if (tally.ended === null || tally.ended === ending) return;
    const sentence = `Event ${version} ends the bout with "${ending}"; by the score computed anew it is "${tally.ended}".`;
    this.tell(version, sentence, CURES.askReferee);
  }

  private checkChance(): void {
    for (const { pick, side, is, sentence } of checkDraws(this.events, this.shelf.ruleSets)) {
      if (is !== "wrong") continue;
      const whose = side === undefined ? "" : ` for ${side === "red" ? "Red" : "Blue"}`;
      this.tell(undefined, `The draw of "${pick}"${whose} does not hold. ${sentence}`, CURES.drawAgain);
    }
  }
}
