/**
 * The fencer's page: during the bout how it stands, what was given and why, what pays; after it the thread hangs down the
 * page, one glyph and one sentence an award. Painted on the server first and again on the phone, part by part.
 */
import type { Side } from "../../../engine/index.ts";
import type { BoutOnView, FencerView } from "../../wire/views.ts";
import { capital, clockWords, stageWords } from "./clock.ts";
import { garland } from "./garland.ts";
import { hanging, penaltySaid } from "./hanging.ts";
import { html, raw, type Markup } from "./markup.ts";
import { exchangesOf, markOf, marksOf } from "./marks.ts";
import { badge, bonusLine, knotTag, leafTag, payTag, penaltyGlyph, pointsTag, stitchGlyph } from "./parts.ts";
import { numeral } from "./shapes.ts";
import { garlandLabel, plural, SIDE_NAMES, tellingTable, teamsInWords } from "./telling.ts";

/** A named piece of a page that can be replaced by itself. */
export type Parts = readonly (readonly [name: string, content: Markup])[];

export interface Moment {
  /** Server time, for the clock. */
  readonly now: number;
  /** The exchange that changed last; without it the newest. */
  readonly latest?: string;
}

function head({ evening, bout }: FencerView, now: number): Markup {
  if (!bout) return html`<span>${evening}</span>`;
  const over = bout.stage === "ended";
  const at = over || bout.order.length === 0 ? `bout ${bout.no}` : `exchange ${bout.order.length + 1}`;
  const right = over
    ? "final"
    : bout.stage === "called" || bout.stage === "checked"
      ? capital(stageWords(bout))
      : `${clockWords(bout.clock, now)}, ${stageWords(bout)}`;
  return html`<span>${bout.ringName}, ${at}</span><span class="tab">${right}</span>`;
}

/** The first name where there is one: "Mira" of "Mira Halden", but "Fencer 7" stays whole. */
const called = (name: string): string => (/^\S+ \d/.test(name) ? name : (name.split(" ")[0] ?? name));

function title({ name, bout, side }: FencerView): Markup {
  if (!bout) return html`<h1>${called(name)}, you are not fencing now</h1>`;
  if (!side) return html`<h1>${name}</h1>`;
  if (bout.stage !== "ended")
    return html`<h1 class="me">
      ${badge(side, 44, false)}<span>${called(name)}, you are ${SIDE_NAMES[side]}</span>
    </h1>`;
  const { ruleSet, order } = bout;
  const about = [ruleSet.name, ruleSet.weapon, plural(order.length, "exchange")].filter(Boolean).join(", ");
  return html`<h1>${(bout.endingSentence ?? "The bout is over.").replace(/\.$/, "")}</h1>
    <p class="sub">${about}</p>`;
}

function voiceLine(bout: BoutOnView, side: Side): Markup {
  const fencer = bout[side];
  return html`<div class="voice-line">
    <span class="pts">${numeral(fencer.points)}</span
    ><span class="vh">${fencer.points === 1 ? "point" : "points"}, </span>
    <div>
      <p class="n1">${badge(side, 24)}<b>${fencer.you ? "You" : fencer.name}</b></p>
      <p class="n2">${bonusLine(fencer, 22, true)}</p>
    </div>
  </div>`;
}

function staff({ bout }: FencerView): Markup {
  if (!bout) return html``;
  const picture = garland(marksOf(bout), {
    width: 328,
    planned: bout.planned,
    rowOf: 12,
    label: garlandLabel(bout),
  });
  const over = bout.stage === "ended";
  return html`<h2 class="vh">Score</h2>
    ${voiceLine(bout, "red")}
    <div class="fig">${raw(picture)}</div>
    ${voiceLine(bout, "blue")}${bout.teams && html`<p class="muted">${teamsInWords(bout)}</p>`}${
      !over && tellingTable(bout, "The bout so far")
    }`;
}

/** The award that everybody talks about: what happened, and why it counted as it did. */
function latest({ bout }: FencerView, wanted?: string): Markup {
  if (!bout || bout.stage === "ended") return html``;
  const all = exchangesOf(bout);
  const tells = ({ how, awards, penalty }: (typeof all)[number]): boolean =>
    how === "double" || awards.length > 0 || penalty !== undefined;
  const exchange = all.find(({ id }) => id === wanted) ?? all.findLast(tells) ?? all.at(-1);
  if (!exchange) return html``;
  const why = exchange.awards
    .filter((award) => award.unit === "bonus" || award.open !== undefined)
    .map((award) => {
      const open = award.open !== undefined;
      const amount = award.open ?? award.amount;
      const tag =
        award.unit === "bonus" ? leafTag(amount, 22, open ? "open" : "settled") : pointsTag(amount, 26, open);
      return html`<li>
        ${tag}<span
          ><span class="vh"
            >${numeral(amount)} ${award.unit}${open && ", still open"} to ${SIDE_NAMES[award.to]}: </span
          >${award.sentence}</span
        >
      </li>`;
    });
  const penalty =
    exchange.penalty &&
    html`<li>
      ${penaltyGlyph(exchange.penalty.penalty)}<span>${penaltySaid(bout, exchange.penalty)}</span>
    </li>`;
  const mended =
    exchange.putRight !== undefined && html`<li>${stitchGlyph()}<span>${exchange.putRight}</span></li>`;
  const notes = exchange.sealed
    ? html`<li><span>Sealed until the choices are shown.</span></li>`
    : html`${why}${penalty}${mended}`;
  const mark = markOf(exchange);
  const leafy = mark.red.leaves.length + mark.blue.leaves.length > 0;
  return html`<h2 class="vh">Latest</h2>
    ${knotTag(mark, 56, leafy ? 106 : 72, 7.4)}
    <div>
      <p class="said">${exchange.sentence}</p>
      <p class="quiet-line">Exchange ${exchange.no}</p>
      <ul class="why">
        ${notes}
      </ul>
    </div>`;
}

/** What a correction moved: one sentence each, so that nothing changes in silence. */
const moved = ({ bout }: FencerView): Markup =>
  bout && bout.moved.length + bout.earlier.length > 0
    ? html`<h2>Put right</h2>
        <ul class="moved">
          ${[...bout.moved, ...bout.earlier].map((line) => html`<li>${stitchGlyph()}<span>${line}</span></li>`)}
        </ul>`
    : html``;

const pays = ({ bout }: FencerView): Markup =>
  bout && bout.stage !== "ended" && bout.pays.length > 0
    ? html`<h2>What pays tonight</h2>
        <ul class="pays">
          ${bout.pays.map(
            (pay) =>
              html`<li>
                ${payTag(pay, 32)}<span
                  ><span class="vh">${numeral(pay.amount)} ${pay.unit}: </span>${pay.short}</span
                >
              </li>`,
          )}
        </ul>
        <p class="means">${bout.bonusMeans}</p>`
    : html``;

/** What the fencer says of an exchange, one press each; inert until the page is live. */
const calls = ({ calls: all }: FencerView): Markup =>
  html`${all.map(
    ({ exchange, no, question, calls: may }) =>
      html`<fieldset class="calls" data-live disabled>
        <legend>${question ?? `Exchange ${no}: were you hit?`}</legend>
        <div class="options">
          ${may.map(
            ({ label, facts }) =>
              html`<form data-call data-exchange="${exchange}" data-facts="${JSON.stringify(facts)}">
                <button class="key"><span>${label}</span></button>
              </form>`,
          )}
        </div>
      </fieldset>`,
  )}`;

/** Sealed choices: inert until the page is live, closed once the bout has passed them. */
const choices = ({ choices: all }: FencerView): Markup =>
  html`${all.map(({ pick, from, chosen, closed }) =>
    closed
      ? html`<p class="sealed">
          <b>${capital(pick)}</b> ${chosen ? html`sealed: ${chosen}` : "not chosen, and closed"}
        </p>`
      : html`<form data-pick="${pick}">
          <fieldset data-live disabled>
            <legend>${capital(pick)}</legend>
            <p class="quiet-line">
              ${chosen ? `Sealed: ${chosen}. You may change it until the first “Fence!”.` : "Only you see it until it is shown."}
            </p>
            <div class="options">
              ${from.map(
                (value) =>
                  html`<label class="option"
                    ><input
                      type="radio"
                      name="value"
                      value="${value}"
                      required${value === chosen ? html` checked` : ""}
                    /><span>${value}</span></label
                  >`,
              )}
            </div>
            <button class="key${chosen ? "" : " main"}">
              <span>${chosen ? "Seal it anew" : "Seal my choice"}</span>
            </button>
          </fieldset>
        </form>`,
  )}`;

const progress = ({ bout, progress: line, notes }: FencerView): Markup => {
  const over = bout?.stage === "ended";
  if (!over && !line && !notes) return html``;
  return html`<h2 class="vh">Your progress</h2>
    ${over && html`<p>${bout.bonusMeans}</p>`}${line && html`<p class="muted">${line}</p>`}${
      notes && html`<p class="muted">Your notes, as your coach keeps them: ${notes}</p>`
    }`;
};

/** After the bout the fencer agrees, or questions an exchange; the referee decides. */
function ask({ bout, side }: FencerView): Markup {
  if (!bout || !side || bout.stage !== "ended") return html``;
  const agreed = bout.confirmed.includes(side)
    ? html`<p class="quiet-line">You have agreed with the result.</p>`
    : html`<form data-agree>
        <fieldset data-live disabled>
          <button class="key main"><span>I agree with the result</span></button>
        </fieldset>
      </form>`;
  const rows = exchangesOf(bout).map(
    ({ id, no, sentence }) => html`<option value="${id}">${no}: ${sentence}</option>`,
  );
  return html`${agreed}
    <details class="question">
      <summary class="key"><span>Question an exchange</span></summary>
      <form data-question>
        <fieldset data-live disabled>
          <label
            >Which one<select name="exchange">
              ${rows}
            </select></label
          ><label>What you saw<input name="why" required maxlength="200" autocomplete="off" /></label
          ><button class="key"><span>Send it to the referee</span></button>
        </fieldset>
      </form>
    </details>`;
}

function next({ next: coming, until, bout }: FencerView): Markup {
  const when = coming && (coming.after === 0 ? "next" : `after ${plural(coming.after, "bout")}`);
  if (coming)
    return html`<h2 class="vh">When you are on</h2>
      <p>${bout && bout.stage !== "ended" ? "Then you" : "You"} fence ${coming.against} on ${coming.ring}.</p>
      <b>${when}</b>`;
  return until
    ? html`<p class="muted">No more bouts are planned for you. The hall is ours until ${until}.</p>`
    : html``;
}

/** The page's parts in reading order; the first column ends after "thread". */
export function fencerParts(view: FencerView, { now, latest: wanted }: Moment): Parts {
  return [
    ["head", head(view, now)],
    ["title", title(view)],
    ["choices", html`${calls(view)}${choices(view)}`],
    ["staff", staff(view)],
    ["latest", latest(view, wanted)],
    ["thread", view.bout?.stage === "ended" ? hanging(view.bout) : html``],
    ["pays", pays(view)],
    ["moved", moved(view)],
    ["progress", progress(view)],
    ["ask", ask(view)],
    ["next", next(view)],
  ];
}

/** What changes by itself is said by screen readers. */
const LIVE: ReadonlySet<string> = new Set(["latest", "moved"]);

const part = ([name, content]: Parts[number]): Markup =>
  html`<section data-part="${name}" ${LIVE.has(name) ? html` aria-live="polite"` : ""}>${content}</section>`;

/** What stands inside <main>. */
export function fencerPage(view: FencerView, moment: Moment = { now: view.at }): string {
  const [first, ...parts] = fencerParts(view, moment).map(part);
  return html`${first}
    <div class="col">${parts.slice(0, 5)}</div>
    <div class="col">${parts.slice(5)}</div>`.markup;
}
