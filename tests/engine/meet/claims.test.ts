/** Limits that rings share, arbitrated by the evening's own stream. */
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { decideMeet, emptyMeet, evolveMeet, isRefusal, limitsOn } from "../../../engine/index.ts";
import type { Meet, MeetCommand, MeetEvent, Source } from "../../../engine/index.ts";
import type { Claimed, HallClaim } from "../../../engine/meet/claims.ts";
import { COACH, scorerOf, TABLE } from "../../support/given.ts";

const HALL: Source = { seat: "hall", kind: "hall" };

/** The evening's stream, and what each step of it said. */
class Evening {
  meet: Meet = emptyMeet;
  readonly events: MeetEvent[] = [];
  at = 1_700_000_000_000;

  give(command: MeetCommand, by: Source = HALL): readonly MeetEvent[] | string {
    this.at += 1_000;
    const decided = decideMeet(this.meet, { id: "c", at: this.at, by, command }, () => undefined);
    if (isRefusal(decided)) return decided.sentence;
    for (const event of decided) {
      this.meet = evolveMeet(this.meet, event, this.meet.version + 1);
      this.events.push(event);
    }
    return decided;
  }

  claim(bout: string, ...claims: readonly Claimed[]): readonly MeetEvent[] | string {
    return this.give({ type: "ClaimOfHall", bout, claims });
  }

  get granted(): Readonly<Record<string, number>> {
    return Object.fromEntries(
      (this.meet.claims ?? []).map(({ bout, exchange, person, granted }) => [
        `${bout} ${exchange} ${person}`,
        granted,
      ]),
    );
  }
}

/** "once in the hall tonight" */
const first = (exchange: string, person = "mira"): Claimed => ({
  exchange,
  person,
  rule: "First blood",
  of: "times",
  n: 1,
  limits: [{ scope: "hall", n: 1 }],
});
/** "5 bonus a team tonight" */
const team = (exchange: string, n: number, person = "mira", name = "Herons"): Claimed => ({
  exchange,
  person,
  rule: "For the team",
  of: "bonus",
  n,
  limits: [{ scope: "team", team: name, n: 5 }],
});

describe("once in the hall tonight", () => {
  test("two rings at once: whoever's claim stands first in the stream has it", () => {
    const evening = new Evening();
    evening.claim("a", first("x1"));
    evening.claim("b", first("y1", "lena"));
    expect(evening.granted).toEqual({ "a x1 mira": 1, "b y1 lena": 0 });
    expect(evening.events.map(({ type }) => type)).toEqual([
      "HallClaimed",
      "HallAnswered",
      "HallClaimed",
      "HallAnswered",
    ]);
  });
  test("the same claims again change nothing", () => {
    const evening = new Evening();
    evening.claim("a", first("x1"));
    expect(evening.claim("a", first("x1"))).toEqual([]);
  });
  test("what is corrected away is given back, and the next who waits has it", () => {
    const evening = new Evening();
    evening.claim("a", first("x1"));
    evening.claim("b", first("y1", "lena"));
    evening.claim("c", first("z1", "omar"));
    const said = evening.claim("a");
    expect(evening.granted).toEqual({ "b y1 lena": 1, "c z1 omar": 0 });
    expect(said).toMatchObject([
      { type: "HallClaimed", bout: "a", claims: [] },
      { type: "HallAnswered", grants: [{ bout: "b", exchange: "y1", person: "lena", n: 1 }] },
    ]);
    // Put back, it comes last.
    evening.claim("a", first("x1"));
    expect(evening.granted).toEqual({ "b y1 lena": 1, "c z1 omar": 0, "a x1 mira": 0 });
  });
  test("both fencers of one exchange are first at once: a time cannot be halved, so both have it", () => {
    const evening = new Evening();
    evening.claim("a", first("x1"), first("x1", "teo"));
    evening.claim("b", first("y1", "lena"));
    expect(evening.granted).toEqual({ "a x1 mira": 1, "a x1 teo": 1, "b y1 lena": 0 });
  });
  test("tomorrow's evening in the same folder has one of its own", () => {
    const evening = new Evening();
    evening.claim("a", first("x1"));
    evening.at += 24 * 3_600_000;
    evening.claim("b", first("y1", "lena"));
    expect(evening.granted).toEqual({ "a x1 mira": 1, "b y1 lena": 1 });
  });
});

describe("an amount for a team tonight", () => {
  test("is granted up to what the limit leaves; another team has its own", () => {
    const evening = new Evening();
    evening.claim("a", team("x1", 3));
    evening.claim("b", team("y1", 4, "lena"), team("y2", 4, "omar", "Otters"));
    expect(evening.granted).toEqual({ "a x1 mira": 3, "b y1 lena": 2, "b y2 omar": 4 });
  });
  test("two of the hall who are due in one exchange share what is left", () => {
    const both = (person: string): Claimed => ({
      ...team("x1", 4, person),
      limits: [{ scope: "hall", n: 5 }],
    });
    const evening = new Evening();
    evening.claim("a", both("mira"), both("teo"));
    expect(evening.granted).toEqual({ "a x1 mira": 2.5, "a x1 teo": 2.5 });
  });
});

describe("who claims", () => {
  test("only the hall itself", () => {
    const evening = new Evening();
    for (const by of [COACH, TABLE])
      expect(evening.give({ type: "ClaimOfHall", bout: "a", claims: [first("x1")] }, by)).toBe(
        "Only the hall itself says what its bouts claim.",
      );
  });
  test("and it runs nothing else", () =>
    expect(new Evening().give({ type: "AddRing", ring: "r1", name: "Ring 1" })).toBe(
      "Only the hall itself says what its bouts claim.",
    ));
  test("under the limits that the rule set shares between rings", () => {
    const { ruleSet } = scorerOf(`
name: Shared
touches:
  I hit: 1
rules:
  - name: First blood
    when: I hit the head
    pays: 2 bonus to me
    at most: 4 bonus a bout, 5 bonus a team tonight, 9 bonus in the hall tonight
`);
    const wanted = { exchange: "x1", person: "mira", rule: "First blood", of: "bonus", n: 2 } as const;
    expect(limitsOn(ruleSet, wanted, "Herons")).toEqual([
      { scope: "team", team: "Herons", n: 5 },
      { scope: "hall", n: 9 },
    ]);
    expect(limitsOn(ruleSet, wanted, undefined)[0]).toEqual({ scope: "team", team: "mira", n: 5 });
  });
});

/** Bouts that claim, correct and withdraw, in any order; a bout always states all that it claims. */
const LIMIT = 5;
const person = { a: "mira", b: "lena", c: "omar" } as const;
const step = fc.record({
  bout: fc.constantFrom("a", "b", "c" as const),
  claims: fc.uniqueArray(
    fc.record({ exchange: fc.constantFrom("1", "2", "3"), n: fc.integer({ min: 1, max: 4 }) }),
    { selector: ({ exchange }) => exchange, maxLength: 3 },
  ),
});
const asClaimed = (bout: keyof typeof person, { exchange, n }: { exchange: string; n: number }): Claimed => ({
  exchange,
  person: person[bout],
  rule: "Shared",
  of: "bonus",
  n,
  limits: [{ scope: "hall", n: LIMIT }],
});

describe("in any order", () => {
  const sum = (claims: readonly HallClaim[], of: "n" | "granted"): number =>
    claims.reduce((all, claim) => all + claim[of], 0);

  test("no more is granted than the limit, all that should be granted is, and nobody loses by another's claim", () => {
    fc.assert(
      fc.property(fc.array(step, { maxLength: 20 }), (steps) => {
        const evening = new Evening();
        for (const { bout, claims } of steps) {
          const before = evening.meet.claims ?? [];
          evening.claim(bout, ...claims.map((each) => asClaimed(bout, each)));
          const after = evening.meet.claims ?? [];
          expect(sum(after, "granted")).toBe(Math.min(LIMIT, sum(after, "n")));
          for (const claim of after) expect(claim.granted).toBeLessThanOrEqual(claim.n);
          for (const old of before.filter((each) => each.bout !== bout)) {
            const now = after.find((each) => each.bout === old.bout && each.exchange === old.exchange);
            expect(now?.granted).toBeGreaterThanOrEqual(old.granted);
          }
        }
      }),
      { seed: 20_251_125, numRuns: 400 },
    );
  });

  test("a replay of the stream comes to the same claims", () => {
    fc.assert(
      fc.property(fc.array(step, { maxLength: 12 }), (steps) => {
        const evening = new Evening();
        for (const { bout, claims } of steps)
          evening.claim(bout, ...claims.map((each) => asClaimed(bout, each)));
        const again = evening.events.reduce((meet, event, at) => evolveMeet(meet, event, at + 1), emptyMeet);
        expect(again.claims).toEqual(evening.meet.claims);
      }),
      { seed: 20_251_125, numRuns: 100 },
    );
  });
});
