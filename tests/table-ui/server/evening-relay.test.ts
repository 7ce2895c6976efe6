/** A relay of two teams on one ring: each bout goes on from the teams' totals. */
import { describe, expect, test } from "vitest";
import { hits, openTwoRings, type Hall } from "../../support/two-rings.ts";

const RELAY = `name: Relay
bout:
  ends: a team at 2, then 4 points
touches:
  I hit: 1
`;

async function planned(): Promise<Hall> {
  const hall = await openTwoRings(RELAY);
  const { mira, teo, lena, omar } = hall.ids;
  await hall.say("meet", {
    type: "PlanRelay",
    ring: "r1",
    ruleSet: hall.house.streams.meet.shelf[0]?.ruleSet ?? "",
    redTeam: "Herons",
    blueTeam: "Otters",
    bouts: [
      { bout: "a", red: mira, blue: teo },
      { bout: "b", red: lena, blue: omar },
    ],
  });
  return hall;
}

const callPlanned = async (hall: Hall, bout: string): Promise<void> => {
  const answer = await hall.house.bouts.callBout({ kind: "coach", seat: "coach seat" }, bout);
  if (!answer.ok) throw new Error(answer.refusal.sentence);
};

describe("a relay", () => {
  test("each bout ends at the next number of the teams' totals, which the screens show", async () => {
    const hall = await planned();
    await callPlanned(hall, "a");
    await hall.record("a", "a1", hits("red"));
    expect(hall.shown("a").teams).toMatchObject({
      red: { team: "Herons", points: 1 },
      blue: { team: "Otters", points: 0 },
    });
    expect(hall.bout("a").tally.ended).toBeNull();
    await hall.record("a", "a2", hits("blue"));
    await hall.record("a", "a3", hits("red"));
    expect(hall.bout("a").tally.ended).not.toBeNull();
    await hall.say("a", { type: "EndBout" });
    await hall.say("meet", { type: "ClearRing", ring: "r1" });

    await callPlanned(hall, "b");
    expect(hall.shown("b").teams).toMatchObject({
      red: { team: "Herons", points: 2 },
      blue: { team: "Otters", points: 1 },
    });
    // Behind, a team may turn the whole match in one bout.
    for (const [at, side] of (["blue", "blue"] as const).entries())
      await hall.record("b", `b${at}`, hits(side));
    expect(hall.bout("b").tally.ended).toBeNull();
    await hall.record("b", "b9", hits("blue"));
    expect(hall.shown("b").teams?.blue.points).toBe(4);
    expect(hall.bout("b").tally.ended).not.toBeNull();
  });

  test("names mixed up in a bout: the teams go with their people", async () => {
    const hall = await planned();
    await callPlanned(hall, "a");
    await hall.record("a", "a1", hits("red"));
    await hall.say("a", { type: "SwapFencers" });
    expect(hall.shown("a").teams).toMatchObject({
      red: { team: "Otters", points: 1 },
      blue: { team: "Herons", points: 0 },
    });
  });
});
