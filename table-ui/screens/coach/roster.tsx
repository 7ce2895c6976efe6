/** What the roster knows of a fencer beside the name: team, hand, grade, rating. What is left empty is not known. */
import type { JSX } from "solid-js";
import type { FencerFacts, FencerHere } from "../../../engine/index.ts";
import type { CoachHall } from "./hall.ts";

/** "Herons, left-handed, grade 3" */
export function factsInWords({ team, leftHanded, grade, rating }: FencerFacts): string {
  const said = [
    team,
    leftHanded === undefined ? undefined : leftHanded ? "left-handed" : "right-handed",
    grade === undefined ? undefined : `grade ${grade}`,
    rating === undefined ? undefined : `rating ${rating}`,
  ].filter((each) => each !== undefined);
  return said.length === 0 ? "team, hand and grade" : said.join(", ");
}

const factsOf = ({ team, leftHanded, grade, rating }: FencerHere): FencerFacts => ({
  ...(team === undefined ? {} : { team }),
  ...(leftHanded === undefined ? {} : { leftHanded }),
  ...(grade === undefined ? {} : { grade }),
  ...(rating === undefined ? {} : { rating }),
});

const HANDS = { "": "not known", right: "right", left: "left" } as const;

/** Fields that are sent as they are left; a bout that is called later knows them. */
export function RosterFacts(props: {
  readonly hall: CoachHall;
  readonly fencer: FencerHere;
  readonly name: string;
}): JSX.Element {
  const set = (change: (facts: FencerFacts) => FencerFacts): void => {
    const { person } = props.fencer;
    void props.hall.command("meet", { type: "SetFencer", person, facts: change(factsOf(props.fencer)) });
  };
  const number = (key: "grade" | "rating", most: number, words: string): JSX.Element => (
    <label class="field">
      {words}
      <input
        type="number"
        min="0"
        max={most}
        value={props.fencer[key] ?? ""}
        onChange={(event) => {
          const text = event.currentTarget.value;
          const n = Math.min(most, Math.max(0, key === "grade" ? Math.trunc(Number(text)) : Number(text)));
          set(({ [key]: _, ...rest }) => (text === "" || Number.isNaN(n) ? rest : { ...rest, [key]: n }));
        }}
      />
    </label>
  );
  const hand = (): keyof typeof HANDS => {
    const { leftHanded } = props.fencer;
    return leftHanded === undefined ? "" : leftHanded ? "left" : "right";
  };
  return (
    <details class="roster">
      <summary>
        <span class="vh">{props.name}: </span>
        {factsInWords(props.fencer)}
      </summary>
      <div class="facts">
        <label class="field">
          Team
          <input
            maxlength="40"
            list="teams"
            value={props.fencer.team ?? ""}
            onChange={(event) => {
              const team = event.currentTarget.value.trim();
              set(({ team: _, ...rest }) => (team === "" ? rest : { ...rest, team }));
            }}
          />
        </label>
        <label class="field">
          Hand
          <select
            value={hand()}
            onChange={(event) => {
              const { value } = event.currentTarget;
              set(({ leftHanded: _, ...rest }) =>
                value === "" ? rest : { ...rest, leftHanded: value === "left" },
              );
            }}
          >
            <option value="" selected={hand() === ""}>
              {HANDS[""]}
            </option>
            <option value="right" selected={hand() === "right"}>
              {HANDS.right}
            </option>
            <option value="left" selected={hand() === "left"}>
              {HANDS.left}
            </option>
          </select>
        </label>
        {number("grade", 99, "Grade, the higher the further on")}
        {number("rating", 99_999, "Rating, the higher the stronger")}
      </div>
    </details>
  );
}
