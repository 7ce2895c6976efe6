/** What an evening can hold since claims of the hall, relays, chance that can be checked and second judges' assents. */
import { cut, type Teller } from "./telling.ts";

const PURSE = `name: A purse for the hall
picks:
  luck:
    by: chance
    from:
      - pays
      - pays twice
      - pays nothing
    when: after each exchange
touches:
  I hit: 1
rules:
  - name: The purse
    when: I hit the head
    pays: 2 bonus to me
    at most: 5 bonus in the hall tonight
  - name: Lucky
    when: I hit
    if: the luck is pays twice
    pays: 1 bonus to me
`;

const PRAISE = `name: Praise for measure
words:
  praise: a call
bout:
  ends: after 5 exchanges
touches:
  I hit: 1
rules:
  - name: Praised
    if: the judge calls praise for me
    pays: between 0 and 2 bonus to me as the judge says
    watch: a second judge assents
`;

/** Two bouts that share a purse; a correction gives back what the other then has. Luck is drawn, once by hand. */
async function tellPurse(told: Teller): Promise<void> {
  const purse = await told.keep(PURSE);
  const other = told.house.streams.meet.rings.find(({ id }) => id === "ring-2")?.bout ?? "";
  await told.say(other, { type: "ConfirmCheck" });
  await told.say(other, { type: "ComeOnGuard" });
  await told.finish(other, "ring-2");
  await told.call("purse-1", ["Mira Halden", "Bram Oyelaran"], purse);
  await told.call("purse-2", ["Noor Castell", "Priya Lund"], purse, "ring-2");
  for (const [bout, exchange] of [
    ["purse-1", "a1"],
    ["purse-2", "b1"],
    ["purse-1", "a2"],
    ["purse-2", "b2"],
  ] as const) {
    await told.fence(bout, exchange, cut("red", "head"));
    if (exchange === "b2")
      await told.say(bout, { type: "SetPick", pick: "luck", value: "pays twice", drawn: "by hand" });
    else await told.say(bout, { type: "DrawPick", pick: "luck" });
    await told.house.queues.idle();
  }
  await told.say("purse-1", { type: "RemoveExchange", exchange: "a1", why: "It was outside the ring." });
  await told.house.queues.idle();
  await told.finish("purse-1");
  await told.finish("purse-2", "ring-2");
}

/** Two judges value an exchange together, then two teams fence a relay of two bouts; somebody is sent out. */
async function tellPraiseAndRelay(told: Teller): Promise<void> {
  const praise = await told.keep(PRAISE);
  await told.call("praised", ["Ada Finch", "Kit Marlow"], praise);
  await told.fence("praised", "p1", cut("red", "head"));
  const call = { call: "praise", for: "red", value: 2 } as const;
  const first = told.judge("ring-1", 1);
  await told.say("praised", { type: "GiveFacts", exchange: "p1", facts: [{ fact: "call", call }] }, first);
  const second = told.judge("ring-1", 2);
  await told.say("praised", { type: "Assent", exchange: "p1", call: "praise", side: "red" }, second);
  await told.finish("praised");
  const [red, blue] = [told.person("Teo Brandt"), told.person("Jonas Ferro")];
  await told.say("meet", { type: "SetFencer", person: red, facts: { team: "Mill", leftHanded: true } });
  const bouts = [{ bout: "relay-1", red, blue }];
  const teams = { redTeam: "Mill", blueTeam: "Race" };
  await told.say("meet", { type: "PlanRelay", ring: "ring-1", ruleSet: praise, ...teams, bouts });
  told.must(await told.house.bouts.callBout(told.coach(), "relay-1"), "call");
  await told.say("relay-1", {
    type: "GivePenalty",
    side: "blue",
    penalty: "out",
    why: "Struck after the halt.",
  });
  await told.house.queues.idle();
}

/** Goes on after `tellEvening`. */
export async function tellFurther(told: Teller): Promise<void> {
  await tellPurse(told);
  await tellPraiseAndRelay(told);
}
