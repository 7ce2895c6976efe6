/** A judge's page: what to watch, the ballot, and the bout without its pay, so that pay cannot bias a vote. */
import type { Hall, Sitting } from "./hall.ts";
import { ballotOn } from "./ballot.ts";
import { seenBy, viewOf } from "./view-wall.ts";
import type { BoutOnView, ExchangeOnView, JudgeView } from "./views.ts";

type AtJudge = Sitting & { kind: "judge" };

const withoutBonus = (fencer: BoutOnView["red"]): BoutOnView["red"] => ({
  ...fencer,
  bonus: 0,
  openBonus: 0,
  openPoints: 0,
});

/** [W7] No bonus, no open award and nothing of what pays. */
function withoutPay(bout: BoutOnView): BoutOnView {
  const exchanges = Object.entries(bout.exchanges).map(([id, exchange]): [string, ExchangeOnView] => [
    id,
    {
      ...exchange,
      awards: exchange.awards.filter((award) => award.unit === "points" && award.open === undefined),
    },
  ]);
  return {
    ...bout,
    exchanges: Object.fromEntries(exchanges),
    red: withoutBonus(bout.red),
    blue: withoutBonus(bout.blue),
    pays: [],
    bonusMeans: "",
    moved: [],
  };
}

function ballotFor(hall: Hall, boutId: string, sitting: AtJudge): JudgeView["ballot"] {
  const file = hall.bout(boutId);
  const ruleSet = file && hall.ruleSet(file.bout.ruleSet);
  const last = file?.bout.exchanges.at(-1);
  if (file === undefined || ruleSet === undefined || last === undefined) return undefined;
  if (last.windowClosed === true || file.bout.stage === "ended" || file.bout.stage === "fencing")
    return undefined;
  return ballotOn(last, file.bout.exchanges.length, ruleSet.ruleSet, sitting.judge, sitting.seat);
}

export function judgeView(hall: Hall, sitting: AtJudge): JudgeView {
  const ring = hall.meet.rings.find(({ id }) => id === sitting.ring);
  const bout = viewOf(hall, ring?.bout, sitting);
  const ballot = ring?.bout === undefined ? undefined : ballotFor(hall, ring.bout, sitting);
  const ruleSet = bout && hall.ruleSet(bout.ruleSet.hash);
  const watches = (ruleSet?.ruleSet.rules ?? [])
    .filter(({ watch }) => watch?.is === "judge" && watch.no === sitting.judge)
    .flatMap(({ name }) => ruleSet?.explained.rules.find((rule) => rule.name === name)?.short ?? []);
  return {
    ...seenBy(hall, sitting),
    kind: "judge",
    ring: ring?.name ?? sitting.ring,
    judge: sitting.judge,
    referee: sitting.referee,
    ...(bout === undefined ? {} : { bout: withoutPay(bout) }),
    ...(ballot === undefined ? {} : { ballot }),
    watches,
  };
}
