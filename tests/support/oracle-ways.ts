/** The oracle's phrases: every way of laying the steps over the acts is tried, slowly and obviously. */
import type { Doing, Phrase, RuleSet, Step } from "../../rules/language/tree.ts";
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

  protected isAct(doing: Doing, act: Act, clean: boolean): boolean {
    if (doing.kinds && !doing.kinds.some((kind) => this.isWord("action", "kind", kind, act.kind)))
      return false;
    if (doing.offence && this.words.named(act.kind ?? "", "action")?.offence !== true) return false;
    for (const choice of doing.with ?? []) {
      const has = choice.any.some(
        (blow) => "ref" in blow === false && (blow.form === undefined || blow.form === act.form),
      );
      if (has === (choice.but === true)) return false;
    }
    for (const choice of doing.to ?? []) {
      const has = choice.any.some(
        (one) => "target" in one && this.isWord("target", "target", one.target, act.target),
      );
      if (has === (choice.but === true)) return false;
    }
    for (const { manner, not } of doing.manners ?? []) {
      const has = manner === "cleanly" ? clean : act.manners?.includes(manner) === true;
      if (has === (not === true)) return false;
    }
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
    const who =
      step.subject === "I"
        ? iAct
        : step.subject === "they"
          ? theyAct
          : step.subject === "either"
            ? iAct || theyAct
            : iAct && theyAct;
    const lands = (side: Side): boolean =>
      line.acts.some(({ by, end }) => end === "hit" && (by === "both" || by === side));
    const clean = act.end === "hit" && !(lands("red") && lands("blue"));
    return who && this.isAct(doing, act, clean);
  }

  /** Places of the last step, one for each way that differs there. */
  ends(phrase: Phrase, line: ExchangeLine, me: Side): number[] {
    const steps = this.writtenOut(phrase);
    const n = line.acts.length;
    const found = new Set<number>();
    const free = (from: number, to: number, nevers: readonly Step[]): boolean => {
      for (let i = from; i < to; i++) if (nevers.some((never) => this.fits(never, line, i, me))) return false;
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
        if (this.fits(step, line, i, me) && free(from, i, nevers)) go(k + 1, i + 1);
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
