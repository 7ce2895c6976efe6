/** Sample views of an invented evening, so that pages can be painted and looked at without a server. */
import type {
  AwardOnView,
  BoutOnView,
  ExchangeOnView,
  FencerView,
  JudgeView,
  PayLine,
  WallView,
} from "../../table-ui/wire/views.ts";

/** 20:00 on an invented Thursday, server time in milliseconds. */
export const EIGHT = Date.UTC(2031, 0, 9, 19, 0, 0);

type Given = readonly [to: "red" | "blue", unit: "points" | "bonus", amount: number, sentence: string];

const award = ([to, unit, amount, sentence]: Given): AwardOnView => ({
  to,
  unit,
  amount,
  rule: unit === "points" ? "touch" : (sentence.split(":")[0] ?? ""),
  sentence,
});

/** An exchange in one line. */
export function exchange(
  no: number,
  sentence: string,
  awards: readonly Given[] = [],
  more: Partial<ExchangeOnView> = {},
): ExchangeOnView {
  return { id: `x${no}`, no, sentence, awards: awards.map(award), ...more };
}

const cue = (to: "red" | "blue", who: string): Given => [
  to,
  "bonus",
  1,
  `The cue: ${who} gave the full cut from above: 1 bonus.`,
];
const answer = (to: "red" | "blue", who: string): Given => [
  to,
  "bonus",
  2,
  `Cover and answer: ${who} parried, then hit: 2 bonus.`,
];

/** Ten exchanges that meet every part of the picture. Red is "you". */
const FIRST = exchange(1, "You hit the torso.", [
  ["red", "points", 2, "touch: you hit the torso: 2 points."],
]);
export const TEN: readonly ExchangeOnView[] = [
  FIRST,
  exchange(2, "Teo hit your head.", [
    ["blue", "points", 3, "touch: Teo hit your head: 3 points."],
    answer("blue", "Teo"),
    cue("red", "you"),
  ]),
  exchange(3, "Double: both hit.", [], { how: "double" }),
  exchange(4, "You hit the head; Teo's afterblow hit your arm.", [
    ["red", "points", 2, "afterblow: 3 for the head, less 1 for the afterblow: 2 points."],
  ]),
  exchange(5, "Teo hit your arm.", [["blue", "points", 1, "touch: Teo hit your arm: 1 point."]]),
  exchange(6, "No exchange.", [], { how: "no exchange" }),
  exchange(7, "You hit the head.", [
    ["red", "points", 3, "touch: you hit the head: 3 points."],
    answer("red", "you"),
    cue("blue", "Teo"),
  ]),
  exchange(8, "Nobody hit.", [], { penalty: { side: "blue", penalty: "warning" } }),
  exchange(9, "Teo hit your torso.", [
    ["blue", "points", 2, "touch: Teo hit your torso: 2 points."],
    cue("red", "you"),
  ]),
  exchange(10, "You hit the leg.", [["red", "points", 1, "touch: you hit the leg: 1 point."]]),
];

/** Exchange 5 while nobody has said yet whether Teo parried. */
export const OPEN_FIVE: ExchangeOnView = {
  ...exchange(5, "Teo hit your arm.", [["blue", "points", 1, "touch: Teo hit your arm: 1 point."]]),
  awards: [
    { to: "blue", unit: "points", amount: 1, rule: "touch", sentence: "touch: Teo hit your arm: 1 point." },
    {
      to: "blue",
      unit: "bonus",
      amount: 0,
      open: 2,
      rule: "Cover and answer",
      sentence: "Exchange 5: did Teo parry before this hit?",
    },
  ],
};

/** Exchange 5 after judge 1 said that he did. */
export const MENDED_FIVE: ExchangeOnView = {
  ...exchange(
    5,
    "Teo hit your arm.",
    [["blue", "points", 1, "touch: Teo hit your arm: 1 point."], answer("blue", "Teo"), cue("red", "you")],
    { putRight: "Put right by judge 1: saw the parry." },
  ),
};

const CUE_PAYS: PayLine = {
  rule: "The cue",
  short: "Give the cue: a full cut from above",
  sentence: "If you cut fully to the head from above, you earn 1 bonus.",
  amount: 1,
  unit: "bonus",
};

export const PAYS: readonly PayLine[] = [
  {
    rule: "Cover and answer",
    short: "Parry the cut, then land your riposte",
    sentence: "If they cut to the head from above, and you parry and then hit, you earn 2 bonus.",
    amount: 2,
    unit: "bonus",
  },
  {
    rule: "Cover",
    short: "Parry the cut and stay unhit",
    sentence: "If they cut to the head from above, and you parry and are not hit, you earn 1 bonus.",
    amount: 1,
    unit: "bonus",
  },
  CUE_PAYS,
];

const sum = (
  exchanges: readonly ExchangeOnView[],
  side: "red" | "blue",
  unit: "points" | "bonus",
  open = false,
): number =>
  exchanges
    .flatMap(({ awards }) => awards)
    .filter((one) => one.to === side && one.unit === unit)
    .reduce((total, one) => total + (open ? (one.open ?? 0) : one.amount), 0);

/** A bout from its exchanges; figures are summed from the awards. */
export function bout(exchanges: readonly ExchangeOnView[], more: Partial<BoutOnView> = {}): BoutOnView {
  const fencer = (side: "red" | "blue", name: string): BoutOnView["red"] => ({
    name,
    points: sum(exchanges, side, "points"),
    bonus: sum(exchanges, side, "bonus"),
    openBonus: sum(exchanges, side, "bonus", true),
    openPoints: sum(exchanges, side, "points", true),
    warned: exchanges.filter(({ penalty }) => penalty?.side === side).length,
  });
  return {
    id: "b7",
    no: 7,
    ring: "r1",
    ringName: "Ring 1",
    ruleSet: {
      hash: "0".repeat(64),
      name: "Answer from above",
      weapon: "longsword",
      lead: "10 exchanges, 2 minutes",
    },
    stage: "halted",
    clock: { running: false, leftMs: 48_000, since: EIGHT, counts: "down" },
    red: { ...fencer("red", "Mira Halden"), you: true },
    blue: fencer("blue", "Teo B."),
    exchanges: Object.fromEntries(exchanges.map((one) => [one.id, one])),
    order: exchanges.map(({ id }) => id),
    planned: 10,
    pays: PAYS,
    bonusMeans: "The bonus stays beside the score tonight: it decides nothing, it only shows the work.",
    moved: [],
    earlier: [],
    confirmed: [],
    ...more,
  };
}

const SEEN = { seat: "s1", evening: "Thursday at Millrace", until: "20:45", at: EIGHT } as const;

export const fencer = (more: Partial<FencerView> = {}): FencerView => ({
  ...SEEN,
  kind: "fencer",
  name: "Mira Halden",
  side: "red",
  calls: [],
  choices: [],
  progress: "You met the cue twice, tried once, landed once. Only you and your coach see this.",
  ...more,
});

const without = (view: FencerView, key: "side" | "bout"): FencerView => {
  const { [key]: _left, ...rest } = view;
  return rest;
};

const during = bout([...TEN.slice(0, 4), OPEN_FIVE, ...TEN.slice(5, 6)]);
const after = bout([...TEN.slice(0, 4), MENDED_FIVE, ...TEN.slice(5)], {
  stage: "ended",
  ending: "red wins",
  endingSentence: "You won, 8 to 6.",
});

export const DURING = during;
export const AFTER = after;

export const FENCER_VIEWS = {
  during: fencer({ bout: during, next: { ring: "Ring 2", against: "Ilse V.", after: 2 } }),
  after: fencer({ bout: after, next: { ring: "Ring 2", against: "Ilse V.", after: 0 } }),
  agreed: fencer({ bout: { ...after, confirmed: ["red"] } }),
  free: without(without(fencer({ next: { ring: "Ring 2", against: "Ilse V.", after: 1 } }), "bout"), "side"),
  choosing: fencer({
    bout: bout([], {
      stage: "called",
      clock: { running: false, leftMs: 120_000, since: EIGHT, counts: "down" },
    }),
    choices: [{ pick: "opening", from: ["high right", "high left", "low right", "low left"], closed: false }],
  }),
  sealed: fencer({
    bout: bout(
      [
        FIRST,
        exchange(2, "Teo hit your head.", [["blue", "points", 3, "touch: 3 points."]], { sealed: true }),
      ],
      {
        moved: ["Exchange 1: your touch is 2 points, not 3: it hit the torso."],
      },
    ),
    choices: [{ pick: "opening", from: ["high right", "high left"], chosen: "high left", closed: true }],
  }),
  blue: fencer({
    name: "Teo Brandt",
    side: "blue",
    bout: bout(TEN.slice(0, 9), {
      stage: "fencing",
      clock: { running: true, leftMs: 21_400, since: EIGHT, counts: "down" },
      red: { name: "Mira H.", points: 7, bonus: 4, openBonus: 0, openPoints: 0, warned: 0 },
      blue: { name: "Teo Brandt", you: true, points: 6, bonus: 3, openBonus: 0, openPoints: 3, warned: 1 },
    }),
  }),
  long: fencer({
    name: "Wilhelmina Featherstone-Okonkwo",
    bout: bout(
      [
        ...TEN,
        ...TEN.slice(0, 6).map((one, i): ExchangeOnView =>
          Object.assign({}, one, { id: `y${i}`, no: 11 + i }),
        ),
      ],
      { planned: 12, red: { ...during.red, name: "Wilhelmina Featherstone-Okonkwo", points: 12 } },
    ),
  }),
} as const;

/** Wall names are as consented. */
const walled = (
  base: BoutOnView,
  ring: string,
  red: string,
  blue: string,
  more: Partial<BoutOnView> = {},
): BoutOnView => {
  const { you: _you, ...redFencer } = base.red;
  return {
    ...base,
    id: `b-${ring}`,
    ring,
    ringName: `Ring ${ring.slice(1)}`,
    red: { ...redFencer, name: red },
    blue: { ...base.blue, name: blue },
    ...more,
  };
};

const SECOND = bout(
  [
    exchange(1, "Blue hit the torso.", [["blue", "points", 2, ""]]),
    exchange(2, "Blue hit the head.", [["blue", "points", 3, ""], cue("red", "Red")]),
    exchange(3, "Red hit the arm.", [["red", "points", 1, ""]]),
    exchange(4, "Nobody hit.", [["red", "points", 1, ""]], {
      penalty: { side: "blue", penalty: "penalty hit" },
    }),
    exchange(5, "Red hit the head.", [["red", "points", 3, ""], answer("red", "Red"), cue("blue", "Blue")]),
    exchange(6, "Double: both hit.", [], { how: "double" }),
    exchange(7, "No exchange.", [], { how: "no exchange" }),
    exchange(8, "Nobody hit.", [cue("red", "Red"), cue("blue", "Blue")]),
    exchange(9, "Blue hit the torso.", [["blue", "points", 2, ""]]),
  ],
  { stage: "fencing", clock: { running: true, leftMs: 72_000, since: EIGHT, counts: "down" } },
);

const wall = (rings: WallView["rings"]): WallView => ({
  ...SEEN,
  kind: "wall",
  rings,
  order: Object.keys(rings),
});
const one = walled(during, "r1", "Mira H.", "Teo B.");
const two = walled(SECOND, "r2", "Noor C.", "Wim D.");
const next = { red: "Bram O.", blue: "Ilse V." };

export const WALL_VIEWS = {
  two: wall({
    r1: { name: "Ring 1", bout: one, next },
    r2: { name: "Ring 2", bout: two, next: { red: "Ada F.", blue: "Kit M." } },
  }),
  one: wall({ r1: { name: "Ring 1", bout: one, next } }),
  three: wall({
    r1: { name: "Ring 1", bout: one, next },
    r2: { name: "Ring 2", bout: two },
    r3: { name: "The long gallery", next: { red: "Priya L.", blue: "Jonas F." } },
  }),
  four: wall({
    r1: { name: "Ring 1", bout: one, next },
    r2: { name: "Ring 2", bout: two },
    r3: {
      name: "Ring 3",
      bout: walled(after, "r3", "Sam A.", "Lena Sorrel", { endingSentence: "Sam A. won, 8 to 6." }),
    },
    r4: {
      name: "Ring 4",
      bout: walled(bout([], { stage: "called" }), "r4", "Fencer 11", "Fencer 4"),
    },
  }),
  long: wall({
    r1: {
      name: "Ring 1",
      bout: walled(
        during,
        "r1",
        "Wilhelmina Featherstone-Okonkwo",
        "Bartholomäus von Hohenstein-Lichtenberg",
        {
          pays: [
            ...PAYS,
            {
              ...CUE_PAYS,
              short: "Keep the blade in contact until the hit lands",
              amount: 1,
              unit: "points",
            },
          ],
        },
      ),
      next: { red: "Wilhelmina Featherstone-Okonkwo", blue: "Ngọc Ánh Nguyễn" },
    },
    r2: {
      name: "Ring 2",
      bout: walled(SECOND, "r2", "Ngọc Ánh Nguyễn", "Alessandro Della Rovere", {
        ruleSet: { hash: "1".repeat(64), name: "Stop-cuts", lead: "" },
        pays: [
          {
            rule: "Stop",
            short: "A stop-cut to the arm against a feint",
            sentence: "",
            amount: 2,
            unit: "bonus",
          },
        ],
        red: { ...two.red, name: "Ngọc Ánh Nguyễn", points: 14, bonus: 12 },
        blue: { ...two.blue, name: "Alessandro Della Rovere", points: 9.5 },
      }),
    },
  }),
  empty: wall({ r1: { name: "Ring 1", next }, r2: { name: "Ring 2" } }),
} as const;

const judgeBout = walled(during, "r1", "Mira H.", "Teo B.");
const votes = [
  { label: "Parry, then hit", picture: "parry-hit" },
  { label: "Hit, no parry", picture: "hit" },
  { label: "No hit", picture: "none" },
  { label: "Not seen", picture: "unseen" },
] as const;
const judge = (more: Partial<JudgeView>): JudgeView => ({
  ...SEEN,
  kind: "judge",
  ring: "Ring 1",
  judge: 2,
  referee: false,
  bout: judgeBout,
  watches: ["Red: parry, then hit", "Blue: parry, then hit"],
  ...more,
});
const ballot = { exchange: "x6", no: 6, side: "red", watch: "Parry, then hit", votes } as const;

export const JUDGE_VIEWS = {
  vote: judge({ ballot }),
  sealed: judge({ ballot: { ...ballot, cast: "Parry, then hit" } }),
  blue: judge({ ballot: { ...ballot, side: "blue" }, referee: true }),
  waiting: judge({}),
} as const;
