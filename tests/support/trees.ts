/* oxlint-disable oxc/no-map-spread -- small trees for tests; speed is no matter here */
/** Canonical phrases and conditions by chance, for whoever tests print, read or scoring. */
import * as fc from "fast-check";
import { canonicalDoing, type Draft } from "../../rules/language/canonical.ts";
import { mirrored, sameQuantity } from "../../rules/language/parse-quantity.ts";
import {
  COUNTED_BOUT,
  COUNTED_EACH,
  LIKENESSES,
  type Alike,
  type AnyOf,
  type Blow,
  type Choice,
  type Condition,
  type Gap,
  type Owner,
  type Phrase,
  type Place,
  type Quantity,
  type Ref,
  type Result,
  type Step,
  type Subject,
} from "../../rules/language/tree.ts";

export type Any<T> = fc.Arbitrary<T>;
export const from = <T>(...values: readonly T[]): Any<T> => fc.constantFrom(...values);

/** Drops keys that are undefined or false, as the tree writes them. */
export function lean<T extends object>(value: { readonly [K in keyof T]: T[K] | undefined }): T {
  return Object.fromEntries(
    Object.entries(value).filter(([, one]) => one !== undefined && one !== false),
  ) as unknown as T;
}
export const maybe = <T>(of: Any<T>): Any<T | undefined> => fc.option(of, { nil: undefined, freq: 2 });
export const flag = maybe(fc.constant(true));
export const whole = fc.integer({ min: 1, max: 60 });
export const half = fc.integer({ min: -8, max: 16 }).map((n) => (n === 0 ? 0 : n / 2));

/** The rule set's given names; the same in every generated tree, so that every sentence can use them. */
export const PHRASES = ["theme", "cue of the night"] as const;
export const RULES = ["Cover and answer", "The card's rule", "Third"] as const;
const MINE: readonly Ref[] = (["my", "their"] as const).flatMap((owner) => [
  { ref: "secret opening", owner },
  { ref: "places", owner, oneOf: true },
  { ref: "places", owner, oneOf: true, atThatMoment: true },
]);
const BLOWS: readonly Ref[] = [{ ref: "named attack", owner: "the" }];
const GUARDS: readonly Ref[] = [{ ref: "tonight's guard", owner: "the" }];

const alike: Any<Alike> = fc
  .record({ alike: from("the same", "another"), what: from(...LIKENESSES), theirs: flag })
  .map((made) => lean<Alike>(made as never));

const choice = <T>(one: Any<T | Ref>): Any<Choice<T>> =>
  fc
    .record({
      but: flag,
      any: fc.uniqueArray(fc.oneof({ weight: 5, arbitrary: one }, { weight: 1, arbitrary: alike }), {
        minLength: 1,
        maxLength: 3,
        selector: (o) => JSON.stringify(o),
      }),
    })
    .map((made) => lean<Choice<T>>(made));

const blow: Any<Blow> = fc.oneof(
  fc
    .record({
      direction: maybe(from("descending", "rising", "level")),
      edge: maybe(from("true edge", "false edge")),
      form: from("cut", "thrust", "slice"),
    })
    .map((made) => lean<Blow>(made)),
  from("zwerchhau", "absetzen", "oberhau").map((name) => ({ blow: name })),
  from("one hand", "both hands", "off hand").map((hand) => ({ hand })),
  from("lunge", "passing step").map((footwork) => ({ footwork })),
  from("true edge", "flat").map((edge) => ({ edge })),
);
const place: Any<Place> = fc.oneof(
  from("right", "left", "above").map((side) => ({ side })),
  from("ox", "wrath guard", "long point").map((guard) => ({ guard })),
);
const target = from("head", "upper left opening", "weapon arm").map((name) => ({ target: name }));
const manner = fc
  .record({ manner: from("cleanly", "in one tempo", "high", "off line", "with the hand covered"), not: flag })
  .map((made) => lean<{ manner: string; not?: boolean }>(made));

const short = <T>(one: Any<T>): Any<T[]> => fc.array(one, { maxLength: 2 });
const verb = fc.oneof<Any<Partial<Draft>>[]>(
  from("attack", "parry", "afterblow", "pommel strike", "cross the feet").map((kind) => ({ kinds: [kind] })),
  fc.constant({ kinds: ["parry", "void"] }),
  fc.constant({ offence: true }),
  fc.constant({ begin: true }),
  fc.constant({}),
);
export const doing = fc
  .record({
    verb,
    with: short(choice<Blow>(fc.oneof(blow, from(...BLOWS)))),
    to: short(choice(fc.oneof(target, from(...MINE)))),
    from: short(choice<Place>(fc.oneof(place, from(...GUARDS)))),
    manners: short(manner),
    seconds: maybe(whole),
    upTo: maybe(whole),
    result: maybe(from<Result>("hit", "miss", "fall short")),
  })
  .map(({ verb: how, result, seconds, upTo, ...rest }) =>
    canonicalDoing({
      kinds: [],
      ...rest,
      ...how,
      ...(result === undefined ? {} : { result }),
      ...(seconds === undefined ? {} : { seconds }),
      ...(upTo === undefined ? {} : { upTo }),
    }),
  );

const subject: Any<Subject> = from("I", "they", "either", "both");
const gap: Any<Gap> = fc.record({ is: from("within" as const, "after" as const), seconds: whole });
const step = (link: Step["link"]): Any<Step> =>
  fc.oneof(
    fc
      .record({
        link: fc.constant(link),
        gap: link === "start" ? fc.constant(undefined) : maybe(gap),
        subject,
        never: link === "at once" || link === "next" ? fc.constant(undefined) : flag,
        doing,
      })
      // A window is all that "never" can have.
      .map(({ never, gap: when, ...made }) =>
        lean<Step>({ ...made, gap: never && when?.is === "after" ? undefined : when, never }),
      ),
    fc
      .record({ subject: from<Subject>("I", "they"), make: from(...PHRASES) })
      .map(({ subject: who, make }): Step => ({ link, subject: who, doing: { make } })),
  );
const positive = doing.map((one): Step => ({ link: "then", subject: "I", doing: one }));

/** At most six actions in all, made phrases counted by their one; one that is not "never" at least. */
export const phrase: Any<Phrase> = fc
  .record({
    first: flag,
    start: step("start"),
    more: fc.array(fc.oneof(step("then"), step("at once"), step("next")), { maxLength: 3 }),
    last: positive,
  })
  .map(({ first, start, more, last }) => lean<Phrase>({ first, steps: [start, ...more, last] }));

const amount = fc.record({ n: whole, cmp: from("exactly" as const, "or more" as const, "or less" as const) });
const who = from("I" as const, "they" as const);
export const each: Any<Owner> = from<Owner>("my", "their");
const asPhrase = phrase.map((one): Condition => ({ is: "phrase", phrase: one }));
/** "they never hit" is the whole of a condition only where a phrase of "never" alone stands. */
const negated = (what: Condition): Condition => ({ is: "not", what });
const maybeNot = (of: Any<Condition>): Any<Condition> => fc.oneof(of, of.map(negated));

const exchangeIs = from("double" as const, "simultaneous" as const).map((how): Condition => ({
  is: "exchange",
  how,
}));
const call = from("me" as const, "them" as const).map((side): Condition => ({
  is: "call",
  call: "praise",
  for: side,
}));
const scores = who.map((one): Condition => ({ is: "outcome", who: one, what: "score" }));
const paid = fc.record({ rule: from(...RULES), who: from("me" as const, "them" as const) });
const nowPaid = paid.map((one): Condition => ({ is: "rule pays", ...one }));
const shown = maybeNot(fc.oneof(asPhrase, exchangeIs, call, scores));
const earlier = fc.oneof(
  shown.map((what): Condition => ({ is: "last", what })),
  fc
    .record({ what: fc.oneof(shown, maybeNot(nowPaid)), amount, exchanges: whole })
    .map(({ what, ...of }): Condition => ({ is: "last", what, of })),
);

const term: Any<Quantity[number]> = fc.oneof<Any<Quantity[number]>[]>(
  whole.map((n) => ({ n })),
  each.map((owner) => ({ owner, mark: "streak" })),
  fc.record({ owner: each, counted: from(...COUNTED_EACH) }).map(({ owner, counted }) => {
    const always = counted === "bouts" || counted === "wins";
    return always ? { owner, counted, tonight: true } : { owner, counted };
  }),
  each.map((owner) => ({ owner, counted: "bonus" as const, tonight: true })),
  from(...COUNTED_BOUT).map((counted) => ({ owner: "the" as const, counted })),
);
/** A sentence cannot begin with a number here: that would be an amount. */
export const quantity: Any<Quantity> = fc
  .record({
    first: term.filter((one) => "owner" in one),
    more: fc.array(
      fc.record({ of: term, minus: flag }).map(({ of, minus }) => (minus ? { ...of, minus } : of)),
      { maxLength: 2 },
    ),
  })
  .map(({ first, more }) => [first, ...more]);
const compared = fc
  .record({
    quantity,
    than: fc.oneof(
      amount,
      fc.record({
        cmp: from("more than" as const, "less than" as const, "level with" as const),
        than: fc.oneof(quantity, fc.constant("theirs" as const)),
      }),
    ),
    now: flag,
  })
  .filter(({ quantity: of, than }) => {
    const [only, ...more] = of;
    const plain = only !== undefined && more.length === 0 && "mark" in only;
    const mirror = "than" in than && than.than !== "theirs" && sameQuantity(than.than, mirrored(of));
    return !mirror && !(plain && (!("than" in than) || than.than === "theirs"));
  })
  .map((made) => lean<Condition>({ is: "quantity", ...made } as never));

const plainCondition: Any<Condition> = fc.oneof(
  asPhrase,
  fc
    .record({ how: from("double", "simultaneous", "no exchange") })
    .map((made) => lean<Condition>({ is: "exchange", ...made } as never)),
  fc
    .record({ no: fc.oneof(amount, fc.constant("last" as const)) })
    .map((made): Condition => ({ is: "exchange number", ...made })),
  fc.constant<Condition>({ is: "level" }),
  fc
    .record({ who, how: from("ahead", "behind"), by: maybe(amount) })
    .map((made) => lean<Condition>({ is: "lead", ...made } as never)),
  fc.record({ who, role: from("attacker", "defender") }).map((made): Condition => ({ is: "role", ...made })),
  fc
    .record({ who, owner: each, oneOf: flag })
    .map(({ oneOf, ...made }): Condition =>
      oneOf
        ? { is: "fencer", ...made, mark: "places", oneOf }
        : { is: "fencer", who: made.who, owner: made.owner, mark: "noted by each fencer" },
    ),
  fc
    .record({ who, what: from("score" as const, "win the bout" as const, "lose the bout" as const) })
    .map((made): Condition => ({ is: "outcome", ...made })),
  call,
  fc
    .record({ rule: from(...RULES), who: from("me", "them"), last: flag })
    .map((made) => lean<Condition>({ is: "rule pays", ...made } as never)),
  fc
    .record({
      owner: each,
      mark: fc.constant("streak"),
      than: fc.oneof(amount, from("more than theirs", "less than theirs", "level with theirs")),
      now: flag,
    })
    .map((made) => lean<Condition>({ is: "mark", ...made } as never)),
  compared,
  fc
    .record({
      owner: each,
      values: fc.oneof(
        fc.constant("theirs" as const),
        fc.uniqueArray(from("upper left opening", "lower right opening"), { minLength: 1 }),
      ),
    })
    .map(({ owner, values }): Condition => ({ is: "pick", owner, pick: "secret opening", values })),
  fc
    .record({ whose: from("mine", "theirs", "nobody's"), atThatMoment: flag })
    .map((made) => lean<Condition>({ is: "token", mark: "initiative", ...made } as never)),
);
const positiveOnly: Any<Condition> = fc.oneof(
  fc
    .record({
      seconds: whole,
      cmp: from("or less" as const, "or more" as const),
      what: from("left" as const, "gone" as const),
    })
    .map((made): Condition => ({ is: "time", ...made })),
  fc
    .record({ seconds: whole, cmp: from("or less" as const, "or more" as const) })
    .map((made): Condition => ({ is: "lasts", ...made })),
  fc.constant<Condition>({ is: "outcome", who: "nobody", what: "win the bout" }),
  fc.record({ owner: each, on: fc.boolean(), now: flag }).map(({ owner, on, now }): Condition => ({
    is: "flag",
    owner,
    mark: "warned",
    on,
    ...(now ? { now } : {}),
  })),
  earlier,
);
const single = fc.oneof(
  { weight: 3, arbitrary: maybeNot(plainCondition) },
  { weight: 1, arbitrary: positiveOnly },
);
const these = fc
  .record({ amount, these: fc.array(single, { minLength: 1, maxLength: 3 }) })
  .map((made): Condition => ({ is: "these", ...made }));
const condition: Any<Condition> = fc.oneof({ weight: 9, arbitrary: single }, { weight: 1, arbitrary: these });
export const all = fc.array(condition, { minLength: 1, maxLength: 3 });
export const anyOf: Any<AnyOf> = fc.array(all, { minLength: 1, maxLength: 3 });
