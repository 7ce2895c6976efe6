/** The oracle's phrases: every way of laying the steps over the acts is tried, slowly and obviously. */
import type { Alike, Doing, Phrase, RuleSet, Step } from "../../rules/language/tree.ts";
import { wordsFor, type Words } from "../../rules/language/words.ts";
import type { Act, ExchangeLine } from "../../rules/record.ts";
import { other, type Side } from "../../rules/vocabulary.ts";

export const TURNED = { I: "they", they: "I", either: "either", both: "both" } as const;

export class Ways {
  protected readonly words: Words;
  protected readonly ruleSet: RuleSet;

  constructor(ruleSet: RuleSet) {
    this.ruleSet = ruleSet;
    this.words = wordsFor(ruleSet.weapon, ruleSet.words);
  }

  protected isWord(
    cls: Parameters<Words["named"]>[1],
    attribute: string,
    asked: string,
    has: string | undefined,
  ): boolean {
    if (has === undefined) return false;
    const word = this.words.named(asked, cls);
    const own = this.words.named(has, cls);
    const allowed = word?.means?.[attribute as "kind"] ?? [asked];
    const values = own?.means?.[attribute as "kind"] ?? [has];
    return values.every((value) => allowed.includes(value));
  }

  /** What the fencer's latest strike or feint before it was, or the other's. */
  private alike(one: Alike, line: ExchangeLine, at: number, actor: Side): boolean {
    const who = one.theirs === true ? other(actor) : actor;
    const before = line.acts
      .slice(0, at)
      .findLast(
        ({ by, kind = "" }) =>
          (by === who || by === "both") &&
          (kind === "feint" || this.words.named(kind, "action")?.offence === true),
      );
    const has = (act: Act | undefined): string | undefined => act?.[one.what as "target"];
    const [then, now] = [has(before), has(line.acts[at])];
    if (then === undefined || now === undefined) return false;
    return (then === now) === (one.alike === "the same");
  }

  protected isAct(doing: Doing, line: ExchangeLine, at: number, actor: Side, clean: boolean): boolean {
    const act = line.acts[at] as Act;
    if (doing.kinds && !doing.kinds.some((kind) => this.isWord("action", "kind", kind, act.kind)))
      return false;
    if (doing.offence && this.words.named(act.kind ?? "", "action")?.offence !== true) return false;
    for (const choice of doing.with ?? []) {
      const has = choice.any.some(
        (blow) =>
          "ref" in blow === false &&
          ("alike" in blow
            ? this.alike(blow, line, at, actor)
            : blow.form === undefined || blow.form === act.form),
      );
      if (has === (choice.but === true)) return false;
    }
    for (const choice of doing.to ?? []) {
      const has = choice.any.some((one) =>
        "alike" in one
          ? this.alike(one, line, at, actor)
          : "target" in one && this.isWord("target", "target", one.target, act.target),
      );
      if (has === (choice.but === true)) return false;
    }
    for (const { manner, not } of doing.manners ?? []) {
      const has = manner === "cleanly" ? clean : act.manners?.includes(manner) === true;
      if (has === (not === true)) return false;
    }
    if (doing.seconds !== undefined && !((act.for ?? 0) >= doing.seconds)) return false;
    if (doing.upTo !== undefined && !((act.for ?? 0) <= doing.upTo)) return false;
    return doing.result === undefined || act.end === doing.result;
  }

  protected fits(step: Step, line: ExchangeLine, at: number, me: Side): boolean {
    const act = line.acts[at] as Act;
    const mine = act.by === "both" || act.by === me;
    const theirs = act.by === "both" || act.by !== me;
    const doing = step.doing as Doing;
    const first = (side: Side): boolean =>
      !doing.begin || !line.acts.slice(0, at).some(({ by }) => by === "both" || by === side);
    const iAct = mine && first(me);
    const theyAct = theirs && first(other(me));
    const lands = (side: Side): boolean =>
      line.acts.some(({ by, end }) => end === "hit" && (by === "both" || by === side));
    const clean = act.end === "hit" && !(lands("red") && lands("blue"));
    const mineIs = iAct && this.isAct(doing, line, at, me, clean);
    const theirsIs = theyAct && this.isAct(doing, line, at, other(me), clean);
    if (step.subject === "I") return mineIs;
    if (step.subject === "they") return theirsIs;
    return step.subject === "either" ? mineIs || theirsIs : mineIs && theirsIs;
  }

  /** Milliseconds from one action to another. */
  private time(line: ExchangeLine, from: number, to: number): number {
    let sum = 0;
    for (let i = from + 1; i <= to; i++) sum += Math.round((line.acts[i]?.after ?? 0) * 1000);
    return sum;
  }

  private inTime({ gap }: Step, line: ExchangeLine, from: number, to: number): boolean {
    if (gap === undefined) return true;
    const time = this.time(line, from, to);
    return gap.is === "within" ? time <= gap.seconds * 1000 : time >= gap.seconds * 1000;
  }

  /** "next": nobody of those who do it has done anything since. */
  private isNext({ subject }: Step, line: ExchangeLine, from: number, to: number, me: Side): boolean {
    const who = subject === "I" ? [me] : subject === "they" ? [other(me)] : [me, other(me)];
    return !line.acts.slice(from + 1, to).some(({ by }) => who.some((side) => by === side || by === "both"));
  }

  /** Places of the last step, one for each way that differs there. */
  ends(phrase: Phrase, line: ExchangeLine, me: Side): number[] {
    const steps = this.writtenOut(phrase);
    const n = line.acts.length;
    const found = new Set<number>();
    const free = (from: number, to: number, nevers: readonly Step[]): boolean => {
      for (let i = from; i < to; i++)
        if (nevers.some((never) => this.inTime(never, line, from - 1, i) && this.fits(never, line, i, me)))
          return false;
      return true;
    };
    const go = (at: number, from: number): void => {
      const nevers: Step[] = [];
      let k = at;
      while (steps[k]?.never) nevers.push(steps[k++] as Step);
      const step = steps[k];
      if (!step) {
        if (free(from, n, nevers)) found.add(from - 1);
        return;
      }
      const only = step.link === "at once" || (phrase.first && k === 0);
      for (let i = from; i < (only ? Math.min(from + 1, n) : n); i++)
        if (
          this.fits(step, line, i, me) &&
          this.inTime(step, line, from - 1, i) &&
          (step.link !== "next" || this.isNext(step, line, from - 1, i, me)) &&
          free(from, i, nevers)
        )
          go(k + 1, i + 1);
    };
    go(0, 0);
    return [...found];
  }

  /** "I make the NAME" as the steps of that phrase, "they" turned round. */
  protected writtenOut(phrase: Phrase): readonly Step[] {
    return phrase.steps.flatMap((step): readonly Step[] => {
      const { doing } = step;
      if (!("make" in doing)) return [step];
      const named = this.ruleSet.phrases.find(({ name }) => name === doing.make);
      const turn = (one: Step): Step =>
        step.subject === "they" ? { ...one, subject: TURNED[one.subject] } : one;
      return (named?.phrase.steps ?? []).map(turn);
    });
  }
}
