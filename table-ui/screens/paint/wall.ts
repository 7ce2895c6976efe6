/** The wall: every ring's staff readable from across the hall, what pays, who is next. No login, no ranking, safe names. */
import type { Pair, Side } from "../../../engine/index.ts";
import type { BoutOnView, PayLine, WallView } from "../../wire/views.ts";
import { capital, clockText, clockWords, shownMs, stageWords } from "./clock.ts";
import type { Parts } from "./fencer.ts";
import { garland } from "./garland.ts";
import { html, raw, type Markup } from "./markup.ts";
import { marksOf } from "./marks.ts";
import { badge, bonusLine, payTag, spool } from "./parts.ts";
import { numeral } from "./shapes.ts";
import { garlandLabel, teamsInWords, tellingTable } from "./telling.ts";

type RingOnWall = WallView["rings"][string];

/** Roughly how many letters of usual width a text takes: enough to pick one of six sizes. */
export function letters(text: string): number {
  let sum = 0;
  for (const letter of text) sum += /[MWmw@]/.test(letter) ? 1.5 : /[iIljt.,' ]/.test(letter) ? 0.5 : 1;
  return sum;
}

/** The longest of these counts still fits at size 1 (largest), 2 ... 6. Two lines may be used from size 3 on. */
const FITS = [7, 9, 13, 20, 28];

/** Names are fitted by a size class, because the page allows no inline style. */
export function fit(name: string): number {
  const all = letters(name);
  const word = Math.max(...name.split(/[\s-]+/).map(letters));
  const place = FITS.findIndex((most, i) => all <= most && word <= (i < 2 ? most : most * 0.62));
  return place < 0 ? FITS.length + 1 : place + 1;
}

function who(bout: BoutOnView, side: Side): Markup {
  const fencer = bout[side];
  const points = numeral(fencer.points);
  return html`<div class="who" data-digits="${Math.min(3, points.replace("½", "00").length)}">
    <span class="pts">${points}</span><span class="vh">${fencer.points === 1 ? "point" : "points"}, </span>
    <div>
      <p class="name" data-fit="${fit(fencer.name)}">${fencer.name}</p>
      <p class="tags">${badge(side, 74)}${bonusLine(fencer, 80, false)}</p>
    </div>
  </div>`;
}

/** The lane's drawing is as wide as it is for its height, so that one ring and four both fill the wall. */
const LANE: Readonly<Record<number, readonly [number, number]>> = {
  1: [960, 620],
  2: [960, 336],
  3: [960, 200],
  4: [960, 146],
};

function picture(bout: BoutOnView, rings: number): Markup {
  const [width, height] = LANE[Math.min(4, rings)] ?? [960, 146];
  const drawn = garland(marksOf(bout), {
    width,
    height,
    planned: bout.planned,
    leadOut: true,
    label: garlandLabel(bout),
  });
  return html`${raw(drawn)}${tellingTable(bout, `${bout.ringName}: ${bout.red.name} and ${bout.blue.name}`)}`;
}

const pair = (names: Pair<string>): string => `${names.red} and ${names.blue}`;

function clock(bout: BoutOnView, now: number): Markup {
  if (bout.stage === "ended") return html`<p class="final">${bout.endingSentence ?? "Over"}</p>`;
  const words = clockWords(bout.clock, now);
  return html`${spool(clockText(bout.clock, now), words, shownMs(bout.clock, now), 300)}
    <p class="state">${capital(stageWords(bout))}</p>`;
}

const payList = (lines: readonly PayLine[]): Markup =>
  html`<ul>
    ${lines.map(
      (pay) =>
        html`<li>
          ${payTag(pay, 76)}<span
            ><span class="vh">${numeral(pay.amount)} ${pay.unit}: </span>${pay.short}</span
          >
        </li>`,
    )}
  </ul>`;

/** All rules that pay; said once where every ring fences under the same rule set, else ring by ring. */
function pays(rings: readonly RingOnWall[]): Markup {
  const sets = new Map<string, { readonly names: string[]; readonly lines: readonly PayLine[] }>();
  for (const { name, bout } of rings) {
    if (!bout) continue;
    const known = sets.get(bout.ruleSet.hash);
    if (known) known.names.push(name);
    else sets.set(bout.ruleSet.hash, { names: [name], lines: bout.pays });
  }
  const all = [...sets.values()].filter(({ lines }) => lines.length > 0);
  const crowd = all.reduce(
    (sum, { lines }) => sum + lines.reduce((more, { short }) => more + letters(short) + 4, 4),
    0,
  );
  const size = crowd <= 62 ? 1 : crowd <= 150 ? 2 : crowd <= 260 ? 3 : 4;
  return html`<h2 class="vh">What pays</h2>
    <div class="paying" data-fit="${size}">
      ${all.map(
        ({ names, lines }) =>
          html`<div>${all.length > 1 && html`<h3>${names.join(", ")}</h3>`}${payList(lines)}</div>`,
      )}
    </div>`;
}

const teams = ({ bout }: RingOnWall): Markup => {
  const said = bout === undefined ? "" : teamsInWords(bout);
  return said === ""
    ? html``
    : html`<p data-fit="${Math.max(1, Math.min(3, Math.floor(letters(said) / 14)))}">${said}</p>`;
};

const next = (ring: RingOnWall): Markup =>
  ring.next
    ? html`<p data-fit="${Math.max(1, Math.min(3, Math.floor(letters(pair(ring.next)) / 14)))}">
        Next: <b>${pair(ring.next)}</b>
      </p>`
    : html``;

const LANE_PARTS = ["ring", "red", "thread", "blue", "clock", "next"] as const;

function lane(id: string, ring: RingOnWall, rings: number, now: number): Parts {
  const { bout, name } = ring;
  const content: Readonly<Record<(typeof LANE_PARTS)[number], Markup>> = {
    ring: html`<h2 data-fit="${fit(name)}">${name}</h2>`,
    red: bout ? who(bout, "red") : html``,
    blue: bout ? who(bout, "blue") : html``,
    thread: bout ? picture(bout, rings) : html`<p class="empty">No bout on this ring now.</p>`,
    clock: bout ? clock(bout, now) : html``,
    next: html`${teams(ring)}${next(ring)}`,
  };
  return LANE_PARTS.map((part) => [`${id} ${part}`, content[part]]);
}

const ringsOf = (view: WallView): readonly (readonly [string, RingOnWall])[] =>
  view.order.flatMap((id) => {
    const ring = view.rings[id];
    return ring ? [[id, ring] as const] : [];
  });

const FOOT = "foot";
const foot = (view: WallView): Markup =>
  html`${pays(ringsOf(view).map(([, ring]) => ring))}
    <p class="until">${view.until ? `Until ${view.until}` : view.evening}</p>`;

/** All parts; a part's name begins with its ring's id. */
export function wallParts(view: WallView, now: number): Parts {
  const rings = ringsOf(view);
  return [...rings.flatMap(([id, ring]) => lane(id, ring, rings.length, now)), [FOOT, foot(view)]];
}

/** Changes only when rings come or go, or a bout comes to a ring: then the whole wall is painted anew. */
export const wallShape = (view: WallView): string =>
  ringsOf(view)
    .map(([id, { bout }]) => `${id}:${bout ? "bout" : "free"}`)
    .join(" ");

/** What stands inside <main>. */
export function wallPage(view: WallView, now = view.at): string {
  const rings = ringsOf(view);
  const lanes = rings.map(
    ([id, ring]) =>
      html`<section class="lane${ring.bout ? "" : " free"}" aria-label="${ring.name}">
        ${lane(id, ring, rings.length, now).map(
          ([name, content], i) =>
            html`<div class="${LANE_PARTS[i] ?? ""}" data-part="${name}">${content}</div>`,
        )}
      </section>`,
  );
  const none = rings.length === 0 && html`<p class="empty">No ring is open yet.</p>`;
  return html`<h1 class="vh">${view.evening}</h1>
    <div class="lanes" data-rings="${Math.min(6, Math.max(1, rings.length))}">${lanes}${none}</div>
    <footer data-part="${FOOT}">${foot(view)}</footer>`.markup;
}
