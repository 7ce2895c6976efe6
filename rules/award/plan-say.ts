/** The one line that the table says aloud after an exchange: "Red, head, three. Parry and riposte, two more." */
import type { Act, ExchangeLine } from "../record.ts";
import { SIDES, type Side } from "../vocabulary.ts";
import { AFTERBLOW } from "./plan-neither.ts";
import type { Award, OpenAward, ScoredExchange, Tally } from "./tally.ts";

const NUMBERS = [
  "nothing",
  "one",
  "two",
  "three",
  "four",
  "five",
  "six",
  "seven",
  "eight",
  "nine",
  "ten",
  "eleven",
  "twelve",
];

/** "three", "one and a half", "half", "two off". */
export function sayNumber(n: number): string {
  if (n < 0) return `${sayNumber(-n)} off`;
  const whole = Math.floor(n);
  const half = n - whole === 0.5;
  const said = NUMBERS[whole] ?? String(whole);
  if (!half) return n === whole ? said : String(n);
  return whole === 0 ? "half" : `${said} and a half`;
}

const NAMES: Readonly<Record<Side, string>> = { red: "Red", blue: "Blue" };
const lower = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

const hitOf = (line: ExchangeLine, side: Side): Act | undefined =>
  line.acts.find((act) => act.by === side && act.end === "hit");

const sum = (awards: readonly Award[]): number => awards.reduce((total, one) => total + one.amount, 0);

/** What the bout's own sentences gave: touches, and what a double or an afterblow does to them. */
const OWN = new Set(["touch", "double", "afterblow", "simultaneous"]);
const isTouch = (award: Award): boolean => award.unit === "points" && OWN.has(award.rule);

/** "Red, head, three." */
function saidHit(
  line: ExchangeLine,
  side: Side,
  awards: readonly Award[],
  open: readonly OpenAward[],
): string | undefined {
  const hit = hitOf(line, side);
  const points = sum(awards.filter((one) => one.to === side && isTouch(one)));
  if (hit === undefined) return points === 0 ? undefined : `${NAMES[side]}, ${sayNumber(points)}.`;
  const where = hit.kind === AFTERBLOW ? ["afterblow", hit.target] : [hit.target ?? hit.form ?? "hit"];
  const waits = open.some((one) => one.to === side && one.rule === "touch");
  const said = waits && points === 0 ? "open" : sayNumber(points);
  return `${[NAMES[side], ...where.filter((part) => part !== undefined), said].join(", ")}.`;
}

/** "Parry and riposte, two more." after the same fencer's touch; else with the fencer's name before it. */
function saidAward(award: Award, follows: boolean): string {
  const amount = sayNumber(award.amount);
  if (follows) return `${award.rule}, ${amount}${award.amount > 0 ? " more" : ""}.`;
  // A rule named by what the fencer did reads on: "Blue gave the cue: one."
  const reads = /^gave /i.test(award.rule) ? ` ${lower(award.rule)}` : `, ${lower(award.rule)}`;
  return `${NAMES[award.to]}${reads}: ${amount}.`;
}

function saidSide(line: ExchangeLine, side: Side, exchange: ScoredExchange): readonly string[] {
  const touch = saidHit(line, side, exchange.awards, exchange.open);
  const rest = exchange.awards.filter((one) => one.to === side && !isTouch(one) && one.amount !== 0);
  const said = rest.map((award) => saidAward(award, touch !== undefined));
  const warned = exchange.warned[side] > 0 ? [`${NAMES[side]}, a warning.`] : [];
  return [...(touch === undefined ? [] : [touch]), ...said, ...warned];
}

const saidOpen = (one: OpenAward): string =>
  `${one.rule} for ${NAMES[one.to]} is open: ${
    one.span.least === 0
      ? sayNumber(one.span.most)
      : `${sayNumber(one.span.least)} to ${sayNumber(one.span.most)}`
  }.`;

/** Who is named first: the fencer who hit first, else the one who earned. */
function order(line: ExchangeLine, exchange: ScoredExchange): readonly Side[] {
  const first = line.acts.find((act) => act.end === "hit")?.by ?? exchange.awards[0]?.to;
  return first === "blue" ? ["blue", "red"] : SIDES;
}

/**
 * One line to say aloud for the exchange `line.no` of a tally; "" where the tally does not have that exchange. Open
 * awards are named, never counted.
 */
export function sayAloud(line: ExchangeLine, tally: Tally): string {
  const exchange = tally.exchanges.find((one) => one.no === line.no);
  if (exchange === undefined) return "";
  if (line.how === "no exchange") return "No exchange.";
  const opening = line.how === "double" ? ["Double."] : line.how === "simultaneous" ? ["Simultaneous."] : [];
  const sides = order(line, exchange).flatMap((side) => saidSide(line, side, exchange));
  const open = exchange.open.filter((one) => one.rule !== "touch").map(saidOpen);
  const nothing = sides.length + open.length === 0 ? ["No hit."] : [];
  const ending =
    tally.endedAt === line.no && tally.ended !== null ? [`The bout is over: ${tally.ended}.`] : [];
  return [...opening, ...sides, ...open, ...(opening.length > 0 ? [] : nothing), ...ending].join(" ");
}
