/* oxlint-disable oxc/no-map-spread -- small trees for tests; speed is no matter here */
/** Whole rule sets by chance, canonical and without a fault. */
import * as fc from "fast-check";
import { DEFAULT_BOUT } from "../../rules/language/print-bout.ts";
import {
  KEEPERS,
  type Change,
  type Condition,
  type Effect,
  type Limit,
  type Mark,
  type Pay,
  type Phrase,
  type Pick,
  type Rule,
  type RuleSet,
  type Step,
} from "../../rules/language/tree.ts";
import { allWithin } from "../../rules/language/walk.ts";
import { PANELS, WINS, type BoutRules } from "../../rules/language/tree-bout.ts";
import { SCOPES } from "../../rules/vocabulary.ts";
import {
  all,
  anyOf,
  doing,
  flag,
  from,
  half,
  lean,
  maybe,
  phrase,
  PHRASES,
  quantity,
  RULES,
  whole,
  type Any,
} from "./trees.ts";

const unit = from("points" as const, "bonus" as const);
const pay: Any<Pay> = fc
  .record({
    sum: fc.record({
      is: fc.constant("numbers" as const),
      numbers: fc.array(half, { minLength: 1, maxLength: 4 }),
      unit,
    }),
    to: from("me", "them", "us both", "my team", "their team"),
    by: maybe(from("week", "streak")),
    times: maybe(
      fc.record({ quantity, now: flag }).map(({ now, ...rest }) => ({ ...rest, ...(now ? { now } : {}) })),
    ),
    eachTime: flag,
    forEachFullSeconds: maybe(whole),
    if: maybe(all),
  })
  .map((made) => lean<Pay>(made as never));
const judged: Any<Pay> = unit.map((of) => ({
  sum: { is: "between", low: 0, high: 2, unit: of },
  to: "me",
  asTheJudgeSays: true,
}));
const whose = from("my" as const, "their" as const);
const what = from("points" as const, "bonus" as const, "points and bonus" as const);
const effect: Any<Effect> = fc.oneof(
  fc
    .record({ whose, what, from: maybe(from(...RULES)), restingOn: maybe(fc.constant("carded")) })
    .map((made) => lean<Effect>({ is: "annul", ...made } as never)),
  fc
    .record({ by: from(2, 3, 0.5, 1.5), whose, what, from: maybe(from(...RULES)) })
    .map((made) => lean<Effect>({ is: "multiply", ...made } as never)),
  fc
    .record({ exchanges: from(1, 2, 3), lostIf: maybe(phrase) })
    .map((made) => lean<Effect>({ is: "hold", ...made } as never)),
  fc
    .record({ what, from: maybe(from(...RULES)) })
    .map((made) => lean<Effect>({ is: "turn over", ...made } as never)),
  maybe(from("both lose", "I lose", "they lose")).map((how) =>
    lean<Effect>({ is: "end the bout", how } as never),
  ),
  from("me" as const, "them" as const).map((side): Effect => ({ is: "warn", who: side })),
  fc.constant<Effect>({ is: "retire" }),
);
const limit: Any<Limit> = fc
  .record({
    n: whole,
    of: from("points" as const, "bonus" as const, "times" as const),
    scope: from(...SCOPES),
    together: flag,
  })
  .map(({ together, ...made }) => (together && SHARED.includes(made.scope) ? { ...made, together } : made));
const SHARED: readonly string[] = ["exchange", "bout", "pair"];

const endsWithNever = ({ steps }: Phrase): boolean => steps.at(-1)?.never === true;
/** Without what counts or measures a phrase's last action. */
const plainPay = ({ eachTime: _each, forEachFullSeconds: _spans, ...rest }: Pay): Pay => rest;

const ruleNamed = (name: string): Any<Rule> =>
  fc
    .record({
      atTheEnd: fc.boolean(),
      when: maybe(fc.array(phrase, { minLength: 1, maxLength: 3 })),
      if: maybe(anyOf),
      unless: maybe(anyOf),
      pays: fc.array(fc.oneof(pay, judged), { minLength: 1, maxLength: 2 }),
      does: maybe(fc.array(effect, { minLength: 1, maxLength: 2 })),
      atMost: maybe(fc.array(limit, { minLength: 1, maxLength: 2 })),
      bestOf: maybe(fc.constant("the answers")),
      notBelow: maybe(half),
      watch: maybe(
        from<NonNullable<Rule["watch"]>>(
          { is: "table" },
          { is: "judge", no: 2 },
          { is: "second judge" },
          { is: "referee" },
          { is: "fencers" },
        ),
      ),
    })
    .map(({ atTheEnd, when, pays, ...rest }) =>
      lean<Rule>({
        name,
        at: atTheEnd ? "the end of the bout" : undefined,
        when: atTheEnd ? undefined : when,
        pays: atTheEnd || when === undefined || when.some(endsWithNever) ? pays.map(plainPay) : pays,
        ...rest,
      }),
    );

/** A change that names a payment would forbid "now" of its mark everywhere else. */
const paysNothing = (one: Condition): boolean => !allWithin(one).some(({ is }) => is === "rule pays");

const change: Any<Change> = fc
  .record({
    does: fc
      .record({
        is: from("up" as const, "down" as const, "to" as const),
        n: whole,
        times: maybe(quantity.map((of) => ({ quantity: of }))),
      })
      .map(({ times, ...made }) => (times ? { ...made, times } : made)),
    when: fc.oneof(
      all.map((of) => ({ is: "conditions" as const, all: of.filter(paysNothing) })),
      whole.map((exchanges) => ({ is: "every" as const, exchanges })),
      all.map((of) => ({ is: "end of bout" as const, all: of.filter(paysNothing) })),
    ),
    eachTime: flag,
  })
  .filter(({ when }) => when.is !== "conditions" || when.all.length > 0)
  .map(({ does, when, eachTime }) => ({
    does,
    when,
    ...(when.is === "conditions" && eachTime ? { eachTime } : {}),
  }));

const marks: Any<readonly Mark[]> = fc
  .record({ changes: fc.array(change, { maxLength: 3 }), start: maybe(half) })
  .map(({ changes, start }): readonly Mark[] => [
    {
      name: "streak",
      is: "count",
      for: "each fencer",
      ...(start === undefined ? {} : { starts: { at: start } }),
      changes,
    },
    { name: "warned", is: "flag", for: "each fencer tonight", starts: { on: false }, changes: [] },
    { name: "initiative", is: "token", for: "the hall", starts: { with: "the last loser" }, changes: [] },
    { name: "places", is: "set", for: "each fencer", changes: [] },
    {
      name: "who attacks",
      is: "roles",
      for: "each exchange",
      roles: ["attacker", "defender"],
      changes: [{ does: { is: "changes hands" }, when: { is: "every", exchanges: 3 } }],
    },
    ...KEEPERS.map((keeper): Mark => ({ name: `noted by ${keeper}`, is: "note", for: keeper, changes: [] })),
  ]);

const openings = ["upper left opening", "lower right opening"].map((text) => ({ text }));
const picks: Any<readonly Pick[]> = from<Pick["when"]>(
  { at: "before the bout" },
  { at: "after each exchange" },
  { everyExchanges: 2 },
  { everySeconds: 60 },
).map((when): readonly Pick[] => [
  {
    name: "secret opening",
    by: "each fencer",
    from: openings,
    when,
    seenBy: "the table",
    shown: "at the end",
  },
  {
    name: "named attack",
    by: "the coach",
    from: [{ text: "zornhau + head", blow: "zornhau", target: "head" }, { text: "descending cut" }],
    when: { at: "before the evening" },
    seenBy: { role: "attacker" },
  },
  {
    name: "tonight's guard",
    by: "chance",
    from: [{ text: "ox" }, { text: "long point" }],
    when,
    ...("everyExchanges" in when ? { turns: 2 } : {}),
  },
  { name: "week", by: "the judge", from: [{ text: "1" }, { text: "2" }], when, shown: "at once" },
]);

const bout: Any<BoutRules> = fc
  .record({
    ends: fc.array(
      fc.oneof(
        fc.record({
          is: from("points" as const, "bonus" as const, "exchanges" as const, "ahead" as const),
          n: whole,
        }),
        fc.record({ is: fc.constant("points" as const), n: whole, ahead: whole }),
        fc.record({
          is: fc.constant("team points" as const),
          numbers: fc.array(whole, { minLength: 1, maxLength: 3 }),
        }),
        whole.map((n) => ({ is: "minutes" as const, n: n / 4 })),
        fc.record({ n: whole, both: fc.boolean() }).map(({ n, both }) => ({
          is: "doubles" as const,
          n,
          ...(both ? { bothLose: true } : {}),
        })),
      ),
      { maxLength: 3 },
    ),
    starts: fc.constantFrom<BoutRules["starts"]>(
      [],
      [{ is: "blades engaged" }, { is: "back line" }, { is: "time left", seconds: 10 }],
      [
        { is: "head start", who: "the weaker", points: 4 },
        { is: "head start", who: "the stronger", points: { mark: "streak" } },
      ],
    ),
    wins: from(...WINS),
    clock: from("stopped at the halt" as const, "running" as const),
    halt: from<BoutRules["halt"]>({ on: "every hit" }, { on: "target", target: "head" }),
    ties: from<BoutRules["ties"]>(
      { is: "draw" },
      { is: "more seconds", n: 30 },
      { is: "who hit last" },
      { is: "fewer", mark: "streak" },
      {
        is: "more",
        mark: "bonus",
        otherwise: { is: "fewer", mark: "warnings", otherwise: { is: "sudden death" } },
      },
    ),
    doubles: from<BoutRules["doubles"]>(
      { is: "score nothing" },
      { is: "both score" },
      { is: "the difference scores" },
      { is: "1 off each" },
      { is: "1 off each", every: 2 },
    ),
    afterblows: from<BoutRules["afterblows"]>(
      { is: "both score" },
      { is: "half to the second" },
      { is: "annul the hit" },
      { is: "take off 1", leave: 0 },
      { is: "take off 1", leave: 1 },
      { is: "the difference scores", leave: 0 },
      { is: "score nothing", onlyOf: "defender" },
      { is: "the difference scores", leave: 1, onlyOf: "attacker" },
    ),
    simultaneous: from("score nothing" as const, "both score" as const),
    panel: from(...PANELS),
    limit: maybe(whole),
    atTheEnd: from<BoutRules["atTheEnd"]>(
      "stays apart",
      { every: 3, make: 1, rest: "is lost" },
      { every: 2, make: 1, rest: "stays" },
    ),
    bonus: fc.record({ countsTowardsTheWin: fc.boolean(), countsTowardsTheCap: fc.boolean() }),
  })
  .map(({ limit: most, ...rest }) => ({
    ...DEFAULT_BOUT,
    ...rest,
    ...(most === undefined ? {} : { limit: most }),
  }));

const plain = (steps: readonly Step[]): Phrase => ({ steps });
const hit: Step = { link: "start", subject: "I", doing: { result: "hit" } };

/** A whole rule set that reads without a fault. */
export const ruleSet: Any<RuleSet> = fc
  .record({
    name: from(
      "Answer from above",
      "12",
      "null",
      'Tom\'s: "night"'.replaceAll('"', "'"),
      "- odd # name",
      "Über",
    ),
    cue: doing,
    picks,
    marks,
    bout,
    touches: fc.uniqueArray(fc.record({ phrase, worth: half }), {
      minLength: 1,
      maxLength: 4,
      selector: (touch) => JSON.stringify(touch.phrase),
    }),
    rules: fc.tuple(...RULES.map(ruleNamed)),
  })
  .map(({ cue, ...rest }) => ({
    ...rest,
    weapon: "longsword" as const,
    words: [
      { name: "praise", is: "call" as const },
      { name: "carded", is: "manner" as const },
    ],
    phrases: [
      { name: PHRASES[0], phrase: plain([hit]) },
      { name: PHRASES[1], phrase: plain([{ link: "start", subject: "they", doing: cue }]) },
    ],
  }));
