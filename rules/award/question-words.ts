/** The words of questions: "did Red parry before this hit?" */
import { verbOf } from "../language/words.ts";
import type { Act, ExchangeLine } from "../record.ts";
import type { AttributeKey } from "./tally.ts";

export const sideOf = (by: Act["by"]): string => (by === "both" ? "both" : by === "red" ? "Red" : "Blue");
const article = (noun: string): string => (/^[aeiou]/.test(noun) ? `an ${noun}` : `a ${noun}`);

/** "Red's cut"; with its number where there are two of them: "Red's second cut". */
export function itsName(line: ExchangeLine, index: number): string {
  const act = line.acts[index] as Act;
  const noun = nounOf(act);
  const same = line.acts.filter((one) => one.by === act.by && nounOf(one) === noun);
  const nth = same.indexOf(act);
  const number = same.length > 1 ? `${ORDINALS[nth] ?? `${String(nth + 1)}th`} ` : "";
  return act.by === "both" ? `their ${number}${noun}` : `${sideOf(act.by)}'s ${number}${noun}`;
}

const ORDINALS = ["first", "second", "third", "fourth", "fifth", "sixth"];

const nounOf = (act: Act): string =>
  act.blow ?? act.form ?? act.kind ?? (act.end === "hit" || act.end === "perhaps" ? "hit" : "action");

const NOUN_KEYS: readonly AttributeKey[] = ["kind", "blow", "form", "footwork"];

/** "was Red's cut a zwerchhau?", "was Red's cut to the arm?", "was Red's cut during the recovery?" */
export function wasIt(name: string, key: AttributeKey, value: string): string {
  if (NOUN_KEYS.includes(key)) return `was ${name} ${article(value)}?`;
  if (key === "target") return `was ${name} to the ${value}?`;
  if (key === "hand") return `was ${name} with ${value}?`;
  if (key === "edge") return `was ${name} with the ${value}?`;
  if (key === "from")
    return `was ${name} from ${value === "right" || value === "left" ? `the ${value}` : value}?`;
  return `was ${name} ${value}?`;
}

/** Where an unrecorded action would stand. */
export function placeOf(line: ExchangeLine, after: boolean): string {
  const hits = line.acts.flatMap((act, i) => (act.end === "hit" || act.end === "perhaps" ? [i] : []));
  const index = after ? line.acts.length - 1 : 0;
  if (line.acts.length === 0) return "";
  const what =
    hits.length === 1 && (line.acts.length === 1 || hits[0] === index) ? "this hit" : itsName(line, index);
  return `${after ? " after" : " before"} ${what}`;
}

/** "parry", "cut to the head with a lunge", "withdraw" */
export function didWhat(act: Act, kinds: readonly string[] = []): string {
  const blow = [act.direction, act.edge, act.blow ?? act.form].filter((word) => word !== undefined).join(" ");
  const plainForm =
    act.kind === undefined && act.form !== undefined && act.blow === undefined && blow === act.form;
  const own = act.kind ?? (plainForm ? (act.form as string) : "strike");
  const verbs = (kinds.length > 0 ? kinds : [own]).map(verbOf);
  const parts = [
    verbs.join(" or "),
    !plainForm && blow !== "" ? `with ${article(blow)}` : "",
    act.target === undefined ? "" : `to the ${act.target}`,
    act.hand === undefined ? "" : `with ${act.hand}`,
    act.footwork === undefined ? "" : `with ${article(act.footwork)}`,
    ...(act.from ?? []).map((place) => `from ${place}`),
    ...(act.manners ?? []),
    act.for === undefined ? "" : `for ${String(act.for)} s or more`,
    act.end === "miss" ? "and miss" : act.end === "fall short" ? "and fall short" : "",
  ];
  return parts.filter((part) => part !== "").join(" ");
}
