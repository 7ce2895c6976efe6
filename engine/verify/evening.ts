/** The evening's own stream computed anew, and held against its bouts: what they claimed, and what they were answered. */
import type { HallGrant } from "../meet/claims.ts";
import { grantsAfter } from "../meet/claims.ts";
import type { Meet, MeetEvent } from "../meet/events.ts";
import { emptyMeet, evolveMeet } from "../meet/meet.ts";
import type { BoutTrace, Stored } from "./bout.ts";
import { answersKey, answersTo, claimsKey } from "../meet/claiming.ts";
import type { Difference } from "./difference.ts";
import { CURES } from "./difference.ts";
import { isMeetEvent } from "./kinds.ts";
import { NameCheck, type Known } from "./named.ts";
import { short, type CheckedShelf } from "./shelf.ts";

type Of<T extends MeetEvent["type"]> = Extract<MeetEvent, { readonly type: T }>;

const grantsKey = (grants: readonly HallGrant[]): string =>
  JSON.stringify(
    grants.map(({ bout, exchange, person, rule, of, n }) => [bout, exchange, person, rule, of, n]),
  );

/** Takes in one event of the evening after the other; afterwards bouts are held against it. */
export class EveningCheck {
  private readonly where: string;
  private readonly hasRuleSet: (hash: string) => boolean;
  private readonly names: NameCheck;
  private readonly found: Difference[] = [];
  private readonly claims: { readonly version: number; readonly bout: string; readonly key: string }[] = [];
  /** Every state that the answers to a bout ever had. */
  private readonly answers = new Map<string, Set<string>>();
  private readonly planned = new Map<string, Of<"BoutPlanned">>();
  private meet: Meet = emptyMeet;
  /** The answers that the claim just read must bring. */
  private due: { readonly version: number; readonly key: string } | undefined;
  private lost = false;

  constructor(where: string, around: { readonly shelf: CheckedShelf; readonly known: Known }) {
    this.where = where;
    this.hasRuleSet = around.shelf.has;
    this.names = new NameCheck(where, around.known);
  }

  /** The stream's next event, in order. */
  take({ version, type, at, data }: Stored): void {
    if (this.lost) return;
    if (!isMeetEvent(data)) {
      this.lost = true;
      const sentence = `Event ${version} (${type}) is of no kind that this version of Garland knows.`;
      this.tell(version, sentence, CURES.otherVersion);
      return;
    }
    if (data.type !== type || data.at !== at)
      this.tell(version, `Event ${version} says another kind or time than its row.`, CURES.goBack);
    try {
      this.found.push(...this.names.meet(data, version));
      this.follow(data, version);
    } catch (error) {
      this.lost = true;
      const why = error instanceof Error ? error.message : String(error);
      this.tell(version, `Event ${version} cannot be taken in: ${why}`, CURES.goBack);
    }
  }

  /** The differences of the evening's stream itself. `bouts`: the streams that the ledger holds, by bout. */
  done(bouts: ReadonlySet<string>): readonly Difference[] {
    this.settleDue();
    for (const { bout } of this.lost ? [] : this.meet.called)
      if (!bouts.has(bout))
        this.tell(undefined, `The bout ${bout} was called, and the ledger has no event of it.`, CURES.goBack);
    return this.found;
  }

  /** The claims of a bout that it never made, by what it was fenced to. */
  checkClaims(bout: string, trace: BoutTrace): readonly Difference[] {
    return this.claims
      .filter((each) => each.bout === bout && trace.whole && !trace.claimed.has(each.key))
      .map(({ version }) => ({
        where: this.where,
        version,
        sentence: `Event ${version} notes claims of the bout ${bout} that, computed anew, it never had.`,
        cure: CURES.askReferee,
      }));
  }

  /** What a bout says of the evening: how it was called, and answers that it took in. */
  checkBout(bout: string, where: string, { called, answers }: BoutTrace): readonly Difference[] {
    if (this.lost) return [];
    const given = this.answers.get(bout) ?? new Set([answersKey([])]);
    const strange = answers
      .filter(({ key }) => !given.has(key))
      .map(({ version }) => ({
        where,
        version,
        sentence: `Event ${version} takes in answers of the hall that the evening never gave.`,
        cure: CURES.goBackOrKeep,
      }));
    return [...strange, ...this.checkCall(bout, where, called)];
  }

  private checkCall(bout: string, where: string, called: BoutTrace["called"]): readonly Difference[] {
    if (called === undefined) return [];
    const plan = this.planned.get(bout);
    const same =
      plan !== undefined &&
      (["no", "ring", "red", "blue", "ruleSet"] as const).every((key) => plan[key] === called[key]);
    if (same) return [];
    const sentence =
      plan === undefined
        ? "The evening never planned this bout."
        : "Its first event calls other fencers, another ring, number or rule set than the evening planned.";
    return [{ where, version: 1, sentence, cure: CURES.goBackOrKeep }];
  }

  private tell(version: number | undefined, sentence: string, cure: string): void {
    this.found.push({ where: this.where, ...(version === undefined ? {} : { version }), sentence, cure });
  }

  private settleDue(): void {
    if (this.due === undefined) return;
    const { version } = this.due;
    this.tell(
      version,
      `The claims in event ${version} were not answered as they must be.`,
      CURES.goBackOrKeep,
    );
    this.due = undefined;
  }

  private follow(event: MeetEvent, version: number): void {
    const answered = event.type === "HallAnswered" && this.due?.key === grantsKey(event.grants);
    if (answered) this.due = undefined;
    else if (event.type === "HallAnswered" && this.due === undefined)
      this.tell(version, `Event ${version} answers claims that nobody made.`, CURES.goBackOrKeep);
    else this.settleDue();
    if (event.type === "HallClaimed") this.claim(event, version);
    if (event.type === "BoutPlanned") this.planned.set(event.bout, event);
    if ((event.type === "RuleSetAdopted" || event.type === "BoutPlanned") && !this.hasRuleSet(event.ruleSet))
      this.tell(
        version,
        `Event ${version} names the rule set ${short(event.ruleSet)}, whose text the ledger lacks.`,
        CURES.goBack,
      );
    this.meet = evolveMeet(this.meet, event, version);
    if (event.type === "HallClaimed" || event.type === "HallAnswered") this.noteAnswers();
  }

  private claim({ bout, claims, at }: Of<"HallClaimed">, version: number): void {
    this.claims.push({ version, bout, key: claimsKey(claims) });
    const grants = grantsAfter(this.meet.claims ?? [], bout, claims, at);
    if (grants.length > 0) this.due = { version, key: grantsKey(grants) };
  }

  private noteAnswers(): void {
    for (const bout of new Set((this.meet.claims ?? []).map((claim) => claim.bout))) {
      const states = this.answers.get(bout) ?? new Set([answersKey([])]);
      states.add(answersKey(answersTo(this.meet, bout)));
      this.answers.set(bout, states);
    }
  }
}
