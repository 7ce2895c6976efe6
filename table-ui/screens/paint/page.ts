/** The documents that the server sends: finished HTML for fencer and wall, a shell for the pages that build themselves. */
import type { FencerView, WallView } from "../../wire/views.ts";
import { fencerPage } from "./fencer.ts";
import { html, raw, type Markup } from "./markup.ts";
import { stylePage } from "./style.ts";
import { wallPage } from "./wall.ts";

export const ENTRIES = ["fencer", "wall", "judge", "coach", "table", "style", "type"] as const;
export type Entry = (typeof ENTRIES)[number];

/** An entry's files as the browser asks for them: its script, what it imports, and its styles. */
export interface EntryFiles {
  readonly script?: string;
  readonly preload: readonly string[];
  readonly styles: readonly string[];
}
export type Assets = Readonly<Record<Entry, EntryFiles>> & { readonly icon: string };

/** A chunk of the manifest that the build writes beside the assets. */
interface Chunk {
  readonly file: string;
  readonly name?: string;
  readonly isEntry?: boolean;
  readonly imports?: readonly string[];
  readonly css?: readonly string[];
}
export type Manifest = Readonly<Record<string, Chunk>>;

function filesOf(manifest: Manifest, entry: Entry, base: string): EntryFiles {
  const own = Object.values(manifest).find((chunk) => chunk.isEntry === true && chunk.name === entry);
  if (!own) throw new Error(`The built pages have no entry "${entry}": run the build again.`);
  const styles = new Set<string>();
  const preload = new Set<string>();
  const visit = (chunk: Chunk): void => {
    for (const key of chunk.imports ?? []) {
      const imported = manifest[key];
      if (!imported || preload.has(imported.file)) continue;
      preload.add(imported.file);
      visit(imported);
    }
    for (const style of chunk.css ?? []) styles.add(style);
  };
  visit(own);
  if (own.file.endsWith(".css")) styles.add(own.file);
  const at = (file: string): string => base + file;
  return {
    ...(own.file.endsWith(".js") && { script: at(own.file) }),
    preload: [...preload].map(at),
    styles: [...styles].map(at),
  };
}

/** Reads the build's manifest.json. `base` is where its folder is served, with a slash at the end. */
export function readManifest(manifest: Manifest, base = "/"): Assets {
  const files = (entry: Entry): EntryFiles => filesOf(manifest, entry, base);
  return {
    fencer: files("fencer"),
    wall: files("wall"),
    judge: files("judge"),
    coach: files("coach"),
    table: files("table"),
    style: files("style"),
    type: files("type"),
    icon: base + (manifest["shared/icon.svg"]?.file ?? "favicon.ico"),
  };
}

export const LOST = ["unknown", "revoked", "away", "too many"] as const;
export type Lost = (typeof LOST)[number];

const LOST_WORDS: Readonly<Record<Lost, readonly [title: string, cure: string]>> = {
  unknown: [
    "This link opens no seat",
    "A character may be missing. Ask your coach to show you the link, and scan or copy it again.",
  ],
  revoked: [
    "This link was replaced",
    "There is a newer one for this seat. Ask your coach to show it to you.",
  ],
  away: [
    "The evening is out of reach just now",
    "Nothing that was recorded is lost, and your link is good. Open it again in a moment.",
  ],
  "too many": [
    "Too many links from here opened nothing",
    "Wait a minute, then open your link again, or ask your coach to show it to you.",
  ],
};

/** What the server asks of the painter. Each answers a whole document. */
export interface Pages {
  fencer(view: FencerView): string;
  wall(view: WallView): string;
  app(kind: "coach" | "table" | "judge", title: string): string;
  /** The link opens no seat: never did, does no longer, or not just now. */
  lost(kind: Lost): string;
  style(): string;
}

interface Sheet {
  readonly kind: string;
  readonly title: string;
  readonly body: Markup;
  readonly files: EntryFiles;
  readonly type: EntryFiles;
  readonly icon: string;
}

/** Type comes after the first paint: a print sheet is fetched last, and the page's script turns it on. */
const late = ({ styles }: EntryFiles): Markup =>
  html`${styles.map((href) => html`<link rel="stylesheet" href="${href}" media="print" data-type />`)}`;
const early = ({ styles }: EntryFiles): Markup =>
  html`${styles.map((href) => html`<link rel="stylesheet" href="${href}" />`)}`;

function document({ kind, title, body, files, type, icon }: Sheet): string {
  const scripts = files.script
    ? html`${files.preload.map((href) => html`<link rel="modulepreload" href="${href}" />`)}
        <script type="module" src="${files.script}"></script>`
    : "";
  const fonts = kind === "fencer" ? late(type) : early(type);
  const head = html`<meta charset="utf-8" /><meta
      name="viewport"
      content="width=device-width,initial-scale=1"
    /><meta name="color-scheme" content="light dark" /><meta name="referrer" content="no-referrer" /><meta
      name="robots"
      content="noindex"
    /><title>${title}</title><link rel="icon" href="${icon}" />${early(files)}${fonts}${scripts}`;
  return `<!doctype html>${
    html`<html lang="en">
      <head>
        ${head}
      </head>
      <body class="${kind}">
        ${body}
      </body>
    </html>`.markup
  }`;
}

/** Where a page says that the server is lost, or records nothing; empty while all is well. */
const live = (content: string, { standing }: FencerView | WallView): Markup =>
  html`<p class="notice" role="status" data-notice>${standing?.sentence}</p>
    <main id="page">${raw(content)}</main>`;

/** The painter for these assets. */
export function paintPages(assets: Assets): Pages {
  const { type, icon } = assets;
  return {
    fencer: (view) => {
      const title = view.bout ? `${view.name}, bout ${view.bout.no}` : view.name;
      return document({
        kind: "fencer",
        title,
        body: live(fencerPage(view), view),
        files: assets.fencer,
        type,
        icon,
      });
    },
    wall: (view) =>
      document({
        kind: "wall",
        title: view.evening,
        body: live(wallPage(view), view),
        files: assets.wall,
        type,
        icon,
      }),
    app: (kind, title) => {
      const body = html`<div id="app"></div>
        <noscript
          ><main class="plain">
            <h1>${title}</h1>
            <p>
              This page scores live and needs scripts. Switch them on for this address, then open the link
              again.
            </p>
          </main></noscript
        >`;
      return document({ kind, title, body, files: assets[kind], type, icon });
    },
    lost: (kind) => {
      const [title, cure] = LOST_WORDS[kind];
      const body = html`<main class="plain">
        <h1>${title}</h1>
        <p>${cure}</p>
      </main>`;
      return document({ kind: "lost", title, body, files: assets.style, type, icon });
    },
    style: () =>
      document({ kind: "style", title: "The look", body: raw(stylePage()), files: assets.style, type, icon }),
  };
}
