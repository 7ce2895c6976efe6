/* oxlint-disable oxc/no-map-spread -- small trees for tests; speed is no matter here */
/** Canonical phrases and conditions by chance, for whoever tests print, read or scoring. */
import * as fc from "fast-check";
import { canonicalDoing, type Draft } from "../../rules/language/canonical.ts";
import type {
  AnyOf,
  Blow,
  Choice,
  Condition,
  Owner,
  Phrase,
  Place,
  Ref,
  Result,
  Step,
  Subject,
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
]);
const BLOWS: readonly Ref[] = [{ ref: "named attack", owner: "the" }];
const GUARDS: readonly Ref[] = [{ ref: "tonight's guard", owner: "the" }];

const choice = <T>(one: Any<T | Ref>): Any<Choice<T>> =>
  fc
    .record({
      but: flag,
      any: fc.uniqueArray(one, { minLength: 1, maxLength: 3, selector: (o) => JSON.stringify(o) }),
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
    result: maybe(from<Result>("hit", "miss", "fall short")),
  })
  .map(({ verb: how, result, seconds, ...rest }) =>
    canonicalDoing({
      kinds: [],
      ...rest,
      ...how,
      ...(result === undefined ? {} : { result }),
      ...(seconds === undefined ? {} : { seconds }),
    }),
  );

const subject: Any<Subject> = from("I", "they", "either", "both");
const step = (link: Step["link"]): Any<Step> =>
  fc.oneof(
    fc
      .record({
        link: fc.constant(link),
        subject,
        never: link === "at once" ? fc.constant(undefined) : flag,
        doing,
      })
      .map((made) => lean<Step>(made)),
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
    more: fc.array(fc.oneof(step("then"), step("at once")), { maxLength: 3 }),
    last: positive,
  })
  .map(({ first, start, more, last }) => lean<Phrase>({ first, steps: [start, ...more, last] }));

const amount = fc.record({ n: whole, cmp: from("exactly" as const, "or more" as const, "or less" as const) });
const who = from("I" as const, "they" as const);
export const each: Any<Owner> = from<Owner>("my", "their");
const condition: Any<Condition> = fc.oneof(
  phrase.map((one): Condition => ({ is: "phrase", phrase: one })),
  fc
    .oneof(phrase, from("double" as const, "simultaneous" as const))
    .map((what): Condition => ({ is: "last", what })),
  fc
    .record({ how: from("double", "simultaneous", "no exchange"), not: flag })
    .map((made) => lean<Condition>({ is: "exchange", ...made } as never)),
  fc
    .record({ no: fc.oneof(whole, fc.constant("last" as const)), not: flag })
    .map((made) => lean<Condition>({ is: "exchange number", ...made } as never)),
  fc.constant<Condition>({ is: "level" }),
  fc
    .record({ who, how: from("ahead", "behind"), by: maybe(amount) })
    .map((made) => lean<Condition>({ is: "lead", ...made } as never)),
  fc.record({ who, role: from("attacker", "defender") }).map((made): Condition => ({ is: "role", ...made })),
  fc
    .record({ seconds: whole, cmp: from("or less" as const, "or more" as const) })
    .map((made): Condition => ({ is: "time left", ...made })),
  fc
    .record({ who, what: from("score" as const, "win the bout" as const, "lose the bout" as const) })
    .map((made): Condition => ({ is: "outcome", ...made })),
  from("me" as const, "them" as const).map((side): Condition => ({ is: "call", call: "praise", for: side })),
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
  fc.record({ owner: each, on: fc.boolean(), now: flag }).map(({ owner, on, now }): Condition => ({
    is: "flag",
    owner,
    mark: "warned",
    on,
    ...(now ? { now } : {}),
  })),
  fc
    .record({ owner: each, value: from("upper left opening", "lower right opening") })
    .map(({ owner, value }): Condition => ({ is: "pick", owner, pick: "secret opening", value })),
  fc
    .record({ whose: from("mine", "theirs"), atThatMoment: flag })
    .map((made) => lean<Condition>({ is: "token", mark: "initiative", ...made } as never)),
);
export const all = fc.array(condition, { minLength: 1, maxLength: 3 });
export const anyOf: Any<AnyOf> = fc.array(all, { minLength: 1, maxLength: 3 });
