/** The bout's own sentences, the touches, and the values that stand outside a rule, in plain words. */
import { allText } from "./explain-condition.ts";
import { asCommand, type Phrases } from "./explain-phrase.ts";
import { unitText } from "./explain-pay.ts";
import { capital, listed, targetText } from "./explain-words.ts";
import type { Change, Keeper, Mark, MarkStart, Pick, PickTime, RuleSet, Touch } from "./tree.ts";
import type { Afterblows, BoutRules, Doubles, End, Panel, Start, Ties, Wins } from "./tree-bout.ts";

const endText = (end: End): string => {
  switch (end.is) {
    case "points":
      return `at ${unitText(end.n, "points")}${end.ahead === undefined ? "" : ` and ${end.ahead} ahead`}`;
    case "bonus":
      return `at ${unitText(end.n, "bonus")}`;
    case "exchanges":
      return `after ${end.n} ${end.n === 1 ? "exchange" : "exchanges"}`;
    case "minutes":
      return `after ${end.n} min`;
    case "ahead":
      return `when one is ${unitText(end.n, "points")} ahead`;
    case "doubles":
      return `at ${end.n} ${end.n === 1 ? "double" : "doubles"}${end.bothLose ? ", both losing" : ""}`;
    case "team points":
      return `when a team has ${end.numbers.slice(0, -1).join(", ")}${
        end.numbers.length > 1 ? ", then " : ""
      }${unitText(end.numbers[end.numbers.length - 1] ?? 0, "points")}`;
  }
};

const startText = (start: Start): string => {
  switch (start.is) {
    case "blades engaged":
      return "Blades start engaged.";
    case "head start": {
      const what =
        typeof start.points === "number"
          ? unitText(start.points, "points")
          : `the ${start.points.mark} in points`;
      return `${capital(start.who)} starts with ${what}.`;
    }
    case "back line":
      return "The stronger starts on the back line.";
    case "time left":
      return `The bout starts with ${start.seconds} s left.`;
  }
};

const tiesText = (ties: Ties): string => {
  switch (ties.is) {
    case "draw":
      return "Level at the end is a draw.";
    case "sudden death":
      return "Level at the end: sudden death, the next touch wins.";
    case "priority minute":
      return "Level at the end: a minute more, with priority drawn.";
    case "judges' choice":
      return "Level at the end: the judges choose.";
    case "more seconds":
      return `Level at the end: ${ties.n} s more.`;
    case "who hit first":
      return "Level at the end: whoever hit first wins.";
    case "who hit last":
      return "Level at the end: whoever hit last wins.";
    case "fewer":
    case "more": {
      const then = ties.otherwise === undefined ? "" : ` Level there too? ${tiesText(ties.otherwise)}`;
      return `Level at the end: whoever has ${ties.is} ${ties.mark} wins.${then}`;
    }
  }
};

const DOUBLES: Readonly<Record<Doubles["is"], string>> = {
  "score nothing": "A double scores nothing.",
  "both score": "In a double both score.",
  "the difference scores": "In a double only the difference scores, for the better touch.",
  "1 off each": "A double scores nothing and takes 1 off each.",
};

const WINNERS: Readonly<Record<Wins, string>> = {
  "who has more points": "More points win.",
  "who has fewer points against": "Points count against the one who is hit, and fewer win.",
  "who has more bonus": "More bonus wins.",
  nobody: "Nobody wins.",
};

const doublesText = ({ is, every }: Doubles): string =>
  every === undefined
    ? DOUBLES[is]
    : `A double scores nothing, and every ${every} of them together take 1 off each.`;

const afterblowText = (policy: Afterblows): string => {
  const only = policy.onlyOf === undefined ? "" : ` Only the ${policy.onlyOf} has an afterblow.`;
  return afterblowSentence(policy) + only;
};

const afterblowSentence = (policy: Afterblows): string => {
  switch (policy.is) {
    case "both score":
      return "With an afterblow both score.";
    case "score nothing":
      return "An afterblow scores nothing; the hit stands.";
    case "annul the hit":
      return "An afterblow annuls the hit.";
    case "half to the second":
      return "An afterblow scores half (2 to 1).";
    case "the difference scores":
      return `With an afterblow only the difference scores${policy.leave === 1 ? ", at least 1" : ""}.`;
    case "take off 1":
      return `An afterblow takes 1 off the hit${policy.leave === 1 ? ", which keeps at least 1" : ""}.`;
  }
};

const PANEL_SENTENCES: Readonly<Record<Panel, string>> = {
  "the referee decides": "The referee decides.",
  majority: "The majority of the judges decides.",
  "two of three or again": "Two of three judges must agree, else the exchange is fenced again.",
  "weighted jury": "The jury's votes are weighted.",
  average: "The average of the judges' values counts.",
  "the higher value": "In doubt the higher value counts.",
  "the one who is hit decides": "The one who is hit says so.",
  "two judges a fencer": "Two judges watch each fencer.",
};

function bonusText(bout: BoutRules): string {
  const { countsTowardsTheWin: win, countsTowardsTheCap: cap } = bout.bonus;
  const counts = win && cap ? "the win and the cap" : win ? "the win" : cap ? "the cap" : undefined;
  if (typeof bout.atTheEnd !== "string") {
    const { every, make, rest } = bout.atTheEnd;
    const also = counts === undefined ? "" : ` Until then it counts towards ${counts}.`;
    return `At the end every ${every} bonus make ${unitText(make, "points")}; the rest ${rest}.${also}`;
  }
  return counts === undefined ? "Bonus stays apart and decides nothing." : `Bonus counts towards ${counts}.`;
}

/** What ends the bout: "The bout ends at 7 points or after 10 exchanges." */
export const endsSentence = ({ ends }: BoutRules): string =>
  ends.length === 0
    ? "Nothing ends the bout by itself; the referee does."
    : `The bout ends ${listed(ends.map(endText))}.`;

/** Sentences about the bout; what holds by default is said too where a coach would ask. */
export function boutSentences(set: RuleSet, phrases: Phrases): readonly string[] {
  const { bout } = set;
  return [
    endsSentence(bout),
    ...bout.starts.map(startText),
    bout.clock === "running" ? "The clock runs on at the halt." : "The clock stops at the halt.",
    ...(bout.halt.on === "target"
      ? [`Only a hit to the ${bout.halt.target} halts; other hits are counted without one.`]
      : []),
    tiesText(bout.ties),
    ...(bout.wins === "who has more points" ? [] : [WINNERS[bout.wins]]),
    doublesText(bout.doubles),
    afterblowText(bout.afterblows),
    ...(bout.simultaneous === "both score" ? ["Simultaneous hits both score."] : []),
    ...(bout.panel === "the referee decides" ? [] : [PANEL_SENTENCES[bout.panel]]),
    ...(bout.limit === undefined ? [] : [`A fencer of a team may score ${unitText(bout.limit, "points")}.`]),
    bonusText(bout),
    ...set.picks.map(pickText),
    ...set.marks.map((mark) => markText(mark, phrases)),
  ];
}

/** The targets of a touch that asks for nothing but where the hit landed; [] means anywhere. */
function plainTargets(touch: Touch): readonly string[] | undefined {
  const { phrase } = touch;
  const [step] = phrase.steps;
  if (phrase.first || phrase.steps.length !== 1 || step?.subject !== "I" || step.never) return undefined;
  const { doing } = step;
  if ("make" in doing || doing.result !== "hit" || doing.begin || doing.seconds !== undefined)
    return undefined;
  const asks = [doing.kinds, doing.with, doing.from, doing.manners].some((one) => (one?.length ?? 0) > 0);
  if (asks || (doing.to?.length ?? 0) > 1) return undefined;
  const [to] = doing.to ?? [];
  if (to === undefined) return [];
  if (to.but || to.any.some((one) => !("target" in one))) return [targetText(to)];
  return to.any.flatMap((one) => ("target" in one ? [one.target] : []));
}

/** Touches grouped as a coach says them: "Head 3, torso 2, arm or leg 1." */
export function touchSentences(set: RuleSet, phrases: Phrases): readonly string[] {
  if (set.touches.length === 0) return ["No touch scores."];
  const named = set.touches.flatMap((touch) => {
    const targets = plainTargets(touch);
    return targets !== undefined && targets.length > 0 ? [{ targets, worth: touch.worth }] : [];
  });
  const worths = [...new Set(named.map((one) => one.worth))];
  const groups = worths.map((worth) => {
    const targets = named.filter((one) => one.worth === worth).flatMap((one) => one.targets);
    return `${listed(targets)} ${worth}`;
  });
  const anywhere = set.touches.filter((touch) => plainTargets(touch)?.length === 0);
  groups.push(...anywhere.map((touch) => `any ${groups.length > 0 ? "other " : ""}hit ${touch.worth}`));
  const others = set.touches
    .filter((touch) => plainTargets(touch) === undefined)
    .map((touch) => `${capital(asCommand(touch.phrase, phrases).text)}: ${unitText(touch.worth, "points")}.`);
  const ending =
    others.length > 0 && set.touches.length > 1 ? ["The best of these counts, once an exchange."] : [];
  return [...(groups.length > 0 ? [`${capital(groups.join(", "))}.`] : []), ...others, ...ending];
}

const timeText = (when: PickTime): string => {
  if ("everyExchanges" in when) return `after every ${when.everyExchanges} exchanges`;
  if ("everySeconds" in when) return `every ${when.everySeconds} s`;
  return when.at;
};

const BY: Readonly<Record<Pick["by"], readonly [string, string]>> = {
  "each fencer": ["each fencer chooses", ""],
  "the coach": ["the coach names", ""],
  "the coach for each fencer": ["the coach names", " for each fencer"],
  chance: ["chance draws", ""],
  "chance for each fencer": ["chance draws", " for each fencer"],
  "the judge": ["the judge names", ""],
  "the list": ["the list gives in turn", ""],
};

/** "Before the bout each fencer chooses the secret opening: upper left, or upper right. Only the table sees it." */
export function pickText(pick: Pick): string {
  const [who, forWhom] = BY[pick.by];
  const values = listed(pick.from.map((value) => value.text));
  const turns = pick.turns === undefined ? "" : ` ${pick.turns} are drawn together and taken in turn.`;
  const seen =
    pick.seenBy === undefined
      ? ""
      : ` Only ${typeof pick.seenBy === "string" ? (pick.seenBy === "the fencer" ? "that fencer" : pick.seenBy) : `the ${pick.seenBy.role}`} sees it${
          pick.shown === "at the end" ? " before the end" : ""
        }.`;
  const shown = pick.seenBy === undefined && pick.shown === "at the end" ? " It is shown at the end." : "";
  const article = /^\S+'s /.test(pick.name) ? "" : "the ";
  return `${capital(timeText(pick.when))} ${who} ${article}${pick.name}${forWhom}: ${values}.${turns}${seen}${shown}`;
}

const KEPT: Readonly<Record<Keeper, string>> = {
  "each fencer": "for each fencer",
  "the bout": "for the bout",
  "each exchange": "for each exchange",
  "each fencer in each exchange": "for each fencer in each exchange",
  "each fencer tonight": "for each fencer all evening",
  "each team tonight": "for each team all evening",
  "each pair tonight": "for each pair all evening",
  "the hall": "for the whole hall",
};

function markStartText(mark: Mark, starts: MarkStart | undefined): string {
  if (starts === undefined) return "";
  if ("at" in starts) return `, starting at ${starts.at}`;
  if ("on" in starts) return `, starting ${starts.on ? "on" : "off"}`;
  const who = starts.with === "red" || starts.with === "blue" ? capital(starts.with) : starts.with;
  return mark.is === "roles"
    ? `, ${who} starting as the ${mark.roles?.[0] ?? "first"}`
    : `, ${who} starting with it`;
}

const changeVerb = (change: Change["does"]): string => {
  switch (change.is) {
    case "up":
      return `goes up ${change.n}`;
    case "down":
      return `goes down ${change.n}`;
    case "to":
      return `goes to ${change.n}`;
    case "on":
    case "off":
      return `turns ${change.is}`;
    case "gains":
      return `gains the ${change.what}`;
    case "becomes":
      return `becomes the ${change.what}`;
    case "passes":
      return change.to === "me" ? "passes to you" : "passes to them";
    case "changes hands":
      return "changes hands";
  }
};

function changeText(change: Change, phrases: Phrases): string {
  const verb = changeVerb(change.does);
  const each = change.eachTime ? " each time" : "";
  if (change.when.is === "every") return `${verb} after every ${change.when.exchanges} exchanges`;
  const given = allText(change.when.all, phrases);
  if (change.when.is === "end of bout") {
    return `${verb} at the end of the bout${given === "" ? "" : ` when ${given}`}`;
  }
  return `${verb}${each} when ${given}`;
}

const MARK_NOUNS: Readonly<Record<Mark["is"], string>> = {
  count: "a count",
  flag: "a flag",
  set: "a set",
  note: "a note",
  token: "a token",
  roles: "roles",
};

/** "Blots, a count for each fencer: goes up 1 when it is a double." */
export function markText(mark: Mark, phrases: Phrases): string {
  const roles = mark.is === "roles";
  const what =
    roles && mark.roles !== undefined ? `the roles ${mark.roles.join(" and ")}` : MARK_NOUNS[mark.is];
  const kept = mark.is === "token" && mark.for === "the bout" ? "" : ` ${KEPT[mark.for]}`;
  const head = `${capital(mark.name)}, ${what}${kept}${markStartText(mark, mark.starts)}`;
  if (mark.changes.length === 0) return `${head}.`;
  const changes = mark.changes.map((change) => {
    const said = changeText(change, phrases);
    const them = mark.roles?.[0] ?? "first";
    return roles
      ? said
          .replace(/^changes hands/, "they change hands")
          .replace(/^passes to you/, `you become the ${them}`)
          .replace(/^passes to them/, `they become the ${them}`)
      : said;
  });
  return `${head}: ${changes.join("; ")}.`;
}
