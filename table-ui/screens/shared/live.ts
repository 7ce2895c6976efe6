/** Keeps a finished page live: paints it again and replaces only the parts whose markup has changed. No framework. */
import type { BoutOnView } from "../../wire/views.ts";
import type { StandingOnView } from "../../wire/standing.ts";
import type { Parts } from "../paint/fencer.ts";
import type { LinkState } from "./link.ts";

const partsIn = (root: ParentNode): Map<string, HTMLElement> =>
  new Map(
    Array.from(root.querySelectorAll<HTMLElement>("[data-part]"), (part) => [
      part.dataset["part"] ?? "",
      part,
    ]),
  );

type Field = HTMLInputElement | HTMLSelectElement;

/** What somebody has begun to write or choose, put back after the part was painted anew. */
function keepEntries(part: HTMLElement): () => void {
  const focus = part.contains(document.activeElement) ? document.activeElement : null;
  const open = Array.from(part.querySelectorAll("details"), (details) => details.open);
  const fields = (): readonly Field[] => Array.from(part.querySelectorAll<Field>("input, select"));
  const control = (): readonly Element[] =>
    Array.from(part.querySelectorAll("input, select, button, summary"));
  const at = focus ? control().indexOf(focus) : -1;
  const before = fields().map((field) => ({
    key: `${field.name} ${field.type === "radio" ? field.value : ""}`,
    value: field.value,
    checked: "checked" in field && field.checked,
  }));
  return () => {
    part.querySelectorAll("details").forEach((details, i) => (details.open = open[i] ?? false));
    for (const field of fields()) {
      const old = before.find(
        ({ key }) => key === `${field.name} ${field.type === "radio" ? field.value : ""}`,
      );
      if (!old) continue;
      if (field.type === "radio" && "checked" in field) field.checked = old.checked;
      else if (old.value !== "") field.value = old.value;
    }
    const again = control()[at];
    if (again instanceof HTMLElement) again.focus({ preventScroll: true });
  };
}

export interface LivePage {
  /** Replaces the parts that differ from what was painted last. */
  paint(parts: Parts): void;
  /** Forgets what was painted: the whole page is new. */
  renew(content: string): void;
  /** Marks what has just happened, so that it alone moves. */
  mark(exchanges: ReadonlySet<string>): void;
  /** Forms work only while the server is in reach. */
  enable(live: boolean): void;
  /** Says that the server is lost, and until when the page is good. */
  say(state: LinkState, since: number): void;
  /** Says that the server is there and records nothing; nothing where it does. */
  stands(standing: StandingOnView | undefined): void;
}

const clockTime = (at: number): string =>
  new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });

const LOST: Readonly<Record<LinkState, (since: string) => string>> = {
  linking: () => "",
  linked: () => "",
  away: (since) => `No news from the hall since ${since}. What you see may be old.`,
  gone: () => "This link has been replaced. Ask your coach for the new one.",
};

export function livePage(root: HTMLElement): LivePage {
  const painted = new Map<string, string>();
  let works = false;
  let lost = "";
  let unrecorded = "";
  const notice = (): void => {
    const place = document.querySelector("[data-notice]");
    const words = lost || unrecorded;
    if (place && place.textContent !== words) place.textContent = words;
  };
  const enable = (): void =>
    root.querySelectorAll<HTMLFieldSetElement>("[data-live]").forEach((set) => (set.disabled = !works));
  return {
    paint(parts) {
      const places = partsIn(root);
      for (const [name, { markup }] of parts) {
        const place = places.get(name);
        if (!place || painted.get(name) === markup) continue;
        painted.set(name, markup);
        const restore = keepEntries(place);
        place.innerHTML = markup;
        restore();
      }
      enable();
    },
    renew(content) {
      painted.clear();
      root.innerHTML = content;
      enable();
    },
    mark(exchanges) {
      root
        .querySelectorAll<SVGElement>("[data-x]")
        .forEach((knot) => knot.toggleAttribute("data-new", exchanges.has(knot.dataset["x"] ?? "")));
    },
    enable(live) {
      works = live;
      enable();
    },
    say(state, since) {
      lost = LOST[state](clockTime(since));
      // What the finished page says holds until the first view.
      if (lost) notice();
    },
    stands(standing) {
      unrecorded = standing?.sentence ?? "";
      notice();
    },
  };
}

/** Exchanges that are new or have changed, newest last. Nothing has just happened when a bout appears. */
export function changed(now: BoutOnView | undefined, before: BoutOnView | undefined): readonly string[] {
  if (!now || now.id !== before?.id) return [];
  return now.order.filter((id) => JSON.stringify(now.exchanges[id]) !== JSON.stringify(before.exchanges[id]));
}

/** Type comes after the first paint: the sheet was fetched last, for print; now it is for the screen. */
export function letTypeIn(): void {
  document.querySelectorAll<HTMLLinkElement>("link[data-type]").forEach((sheet) => (sheet.media = "all"));
}

/** Paints at every full second while a clock runs; the page decides what that changes. */
export const everySecond = (tick: () => void): number => setInterval(tick, 250) as unknown as number;
