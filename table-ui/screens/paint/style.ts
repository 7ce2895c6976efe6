/** /style: every token and every component in every state, light and dark, for whoever changes them. */
import { standingFor, TROUBLES } from "../../wire/standing.ts";
import { garland, type GarlandSize } from "./garland.ts";
import { html, raw, type Markup } from "./markup.ts";
import { statusStates } from "./status-style.ts";
import { underWay, type Knot, type Leaf, type Mark, type Voice } from "./marks.ts";
import {
  badge,
  beadTag,
  doubleGlyph,
  key,
  knotTag,
  leafGlyph,
  leafTag,
  nothingGlyph,
  penaltyGlyph,
  pointsTag,
  slipGlyph,
  spool,
  stitchGlyph,
} from "./parts.ts";

const SEAT_KINDS = ["coach", "table", "judge", "fencer", "wall"] as const;

/** The colours by meaning. */
export const TOKENS = [
  "paper",
  "sheet",
  "well",
  "ink",
  "ink-2",
  "ink-3",
  "line",
  "edge",
  "thread",
  "thread-key",
  "on-thread",
  "red",
  "red-ink",
  "red-wash",
  "on-red",
  "blue",
  "blue-ink",
  "blue-wash",
  "on-blue",
  "leaf",
  "leaf-ink",
  "leaf-wash",
  "on-leaf",
  "fault",
  "fault-wash",
] as const;

const voice = (points = 0, leaves: readonly Leaf[] = [], openPoints = 0): Voice => ({
  points,
  openPoints,
  leaves,
});
const paid = (...amounts: readonly number[]): readonly Leaf[] =>
  amounts.map((bonus) => ({ bonus, state: "settled" as const }));
const open = (bonus: number): readonly Leaf[] => [{ bonus, state: "open" }];
const wet = (bonus: number): readonly Leaf[] => [{ bonus, state: "wet" }];

const mark = (id: string, red: Voice, blue: Voice, more: Partial<Mark> = {}): Mark => ({
  id,
  knot: "knot" satisfies Knot,
  red,
  blue,
  ...more,
});

/** Every state of an exchange, with the name under which the picture shows it. */
export const STATES: readonly (readonly [name: string, mark: Mark])[] = [
  ["Red, 1", mark("s1", voice(1), voice())],
  ["Red, 3", mark("s2", voice(3), voice())],
  ["Blue, 2", mark("s3", voice(), voice(2))],
  ["Bonus each", mark("s4", voice(2, paid(2)), voice(0, paid(1)))],
  ["Two bonuses", mark("s5", voice(1, paid(2, 1)), voice())],
  ["Three bonuses", mark("s6", voice(2, paid(1, 2, 1)), voice())],
  ["Open bonus", mark("s7", voice(), voice(1, open(2)))],
  ["Open touch", mark("s8", voice(0, [], 2), voice())],
  ["Double", mark("s9", voice(), voice(), { knot: "double" })],
  ["Double that pays", mark("s10", voice(1), voice(1, paid(1)), { knot: "double" })],
  ["No exchange", mark("s11", voice(), voice(), { knot: "no exchange" })],
  ["Warning", mark("s12", voice(), voice(), { penalty: { side: "blue", penalty: "warning" } })],
  ["Penalty hit", mark("s13", voice(1), voice(), { penalty: { side: "blue", penalty: "penalty hit" } })],
  ["Out of the bout", mark("s14", voice(), voice(), { penalty: { side: "red", penalty: "out" } })],
  ["Put right", mark("s15", voice(2), voice(), { putRight: true })],
  ["Half a point", mark("s16", voice(0.5), voice(1.5))],
  ["Deep hit, 4", mark("s17", voice(), voice(4, paid(2)))],
  ["Afterblow, both", mark("s18", voice(2), voice(1))],
  ["A point lost", mark("s19", voice(-1), voice(2))],
  ["Sealed", mark("s20", voice(2), voice(), { knot: "sealed" })],
  ["After the end", mark("s21", voice(1), voice(), { afterTheEnd: true })],
  ["Under way", underWay],
  ["Not recorded", mark("s22", voice(3, wet(2)), voice(0, wet(1)), { wet: true })],
];

const list = (rows: readonly (readonly [string, Markup])[], shape = ""): Markup =>
  html`<ul class="shown${shape && ` ${shape}`}">
    ${rows.map(([name, shown]) => html`<li>${shown}<span>${name}</span></li>`)}
  </ul>`;

const swatch = (token: string): Markup =>
  raw(
    `<svg class="swatch" viewBox="0 0 120 44" preserveAspectRatio="none" aria-hidden="true"><rect x=".5" y=".5" width="119" height="43" rx="4" class="t-${token}"/></svg>`,
  );

const draw = (
  marks: readonly Mark[],
  width: number,
  planned: number,
  more: Partial<GarlandSize> = {},
): Markup => raw(garland(marks, { width, planned, label: "A garland", ...more }));

const bouts = (): Markup => {
  const ten = STATES.slice(0, 9).map(([, one]) => one);
  const long = [...STATES.slice(0, 6), ...STATES.slice(8, 17)].map(([, one]) => one);
  return list(
    [
      ["Under way, with numbers", draw([...ten, underWay], 960, 12, { numbers: 15, height: 300 })],
      ["Nothing fenced yet", draw([underWay], 960, 10, { height: 120, leadOut: true })],
      ["More than 12 on a phone: two rows", draw(long, 328, 12, { rowOf: 12 })],
      ["On a tablet, 18", draw(long, 720, 18)],
    ],
    "full",
  );
};

const keys = (): Markup =>
  list(
    [
      ["Red", key({ label: "Head", look: "r", cap: "Q" })],
      ["Red, pressed", key({ label: "Head", look: "r", cap: "Q", pressed: true })],
      ["Blue", key({ label: "Torso", look: "b", cap: "X" })],
      ["Blue, pressed", key({ label: "Torso", look: "b", cap: "X", pressed: true })],
      ["Neither", key({ label: "Undo", cap: "⌫" })],
      ["Theme, lit", key({ label: "Parry, then riposte", cap: "1", pressed: true })],
      ["The main key", key({ label: "Record exchange 7", look: "main", cap: "Enter" })],
      ["Stop", key({ label: "Stop", look: "stop", cap: "Esc" })],
      ["Out of reach", html`<fieldset disabled>${key({ label: "I agree with the result" })}</fieldset>`],
      ["A question waits", html`<p class="open-box">Exchange 5: did Blue parry first?</p>`],
    ],
    "wide",
  );

function clockAt(left: number): Markup {
  const text = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
  return spool(text, `${text} left`, left * 1000, 124);
}

/** What every seat is shown in every trouble of the ledger. */
const NOT_RECORDING = TROUBLES.flatMap((state) =>
  SEAT_KINDS.map((kind): readonly [string, string] => [
    `${kind}, ${state}`,
    standingFor({ state, since: 0, folder: "thursday" }, { kind })?.sentence ?? "",
  ]),
);

function look(theme: "light" | "dark"): Markup {
  return html`<section class="look" data-theme="${theme}">
    <h2>${theme === "light" ? "Paper, ink and thread" : "The same by night"}</h2>
    <h3>Colours</h3>
    ${list(TOKENS.map((token) => [token, swatch(token)]))}
    <h3>Type</h3>
    <p class="type-row type-72">8</p>
    <p class="type-row type-31">Mira, you are Red</p>
    <p class="type-row type-20">Teo hit your arm.</p>
    <p class="type-row type-18">Parry the cut, then land your riposte</p>
    <p class="type-row type-15">Ring 1, exchange 7</p>
    <p class="type-row type-31 voice">Red, head, three.</p>
    <h3>An exchange in every state</h3>
    ${list(STATES.map(([name, one]) => [name, knotTag(one, 124, 176, 10)]))}
    <h3>A bout</h3>
    ${bouts()}
    <h3>Signs</h3>
    ${list([
      ["Red", badge("red", 44)],
      ["Blue", badge("blue", 44)],
      ["Bonus", leafTag(2, 44, "settled", "2 bonus")],
      ["Open bonus", leafTag(2, 44, "open", "2 bonus open")],
      ["Points paid", pointsTag(1, 44)],
      ["Points lost", pointsTag(-1, 44)],
      ["Touch, Red", beadTag("red", 3, 44)],
      ["Touch, Blue", beadTag("blue", 3, 44)],
      ["In the thread", leafGlyph(2, "settled")],
      ["Double", doubleGlyph()],
      ["No exchange", nothingGlyph()],
      ["Put right", stitchGlyph()],
      ["Sealed", slipGlyph()],
      ["Warning", penaltyGlyph("warning")],
      ["Penalty hit", penaltyGlyph("penalty hit")],
      ["Out", penaltyGlyph("out")],
    ])}
    <h3>The clock</h3>
    ${list([180, 120, 48, 12, 0].map((left) => [`${left} seconds left`, clockAt(left)]))}
    <h3>Keys</h3>
    ${keys()}
    <h3>The server is lost</h3>
    <p class="notice">No news from the hall since 19:50. What you see may be old.</p>
    <h3>The coach's status</h3>
    ${statusStates()}
    <h3>The server records nothing just now</h3>
    ${NOT_RECORDING.map(
      ([who, sentence]) => html`<p class="notice"><span class="vh">${who}:</span> ${sentence}</p>`,
    )}
  </section>`;
}

/** What stands inside <body> of /style. */
export const stylePage = (): string =>
  html`<main class="style-main">
    <h1 class="vh">The look</h1>
    ${look("light")}${look("dark")}
  </main>`.markup;
