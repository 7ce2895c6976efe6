/** Builds the pages into .build/pages: hashed files and their manifest, each also compressed once, for good. */
import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { defineConfig, type Plugin } from "vite";
import solid from "vite-plugin-solid";
import { textOverWebsocket } from "./vite-socket.ts";

const here = fileURLToPath(new URL(".", import.meta.url));
const entry = (path: string): string => join(here, path);
const outDir = join(here, "../../.build/pages");

/** The tab's picture. */
const icon: Plugin = {
  name: "icon",
  applyToEnvironment: ({ name }) => name === "client",
  generateBundle() {
    const source = readFileSync(entry("shared/icon.svg"));
    this.emitFile({ type: "asset", name: "icon.svg", originalFileName: "shared/icon.svg", source });
  },
};

/** Glosses and sources of words stand in messages about a rule set's text; a table reads none, and scores without them. */
const withoutGlosses: Plugin = {
  name: "without-glosses",
  enforce: "pre",
  applyToEnvironment: ({ name }) => name === "table",
  transform: (code, id) =>
    /rules\/\.generated\/shelf\.ts/.test(id)
      ? code.replace(/^ *"(gloss|source)": ".*$/gm, "").replace(/"sources": \{[^}]*\}/g, '"sources": {}')
      : undefined,
};

/** Pages whose templates are HTML alone; a Solid page's hold text too, where a line break is a space. */
const PAINTED: readonly string[] = ["fencer", "wall"];

/** In a minified file line breaks stand only in templates of HTML, where they are layout (paint/markup.ts). */
const squeezeTemplates: Plugin = {
  name: "squeeze-templates",
  enforce: "post",
  applyToEnvironment: ({ name }) => PAINTED.includes(name),
  generateBundle(_options, bundle) {
    for (const chunk of Object.values(bundle))
      if (chunk.type === "chunk")
        chunk.code = chunk.code.replace(/(>|\})\s*\n\s*(<|\$\{)|(>)\s*\n\s*|\s*\n\s*(<)/g, "$1$2$3$4");
  },
};

/** The server sends the .br or .gz beside a file, so that nothing is compressed per request. */
function compressOnce(): void {
  const assets = join(outDir, "assets");
  const params = { [constants.BROTLI_PARAM_MODE]: constants.BROTLI_MODE_TEXT };
  for (const name of readdirSync(assets)) {
    if (!/\.(js|css|svg)$/.test(name)) continue;
    const bytes = readFileSync(join(assets, name));
    writeFileSync(join(assets, `${name}.br`), brotliCompressSync(bytes, { params }));
    writeFileSync(join(assets, `${name}.gz`), gzipSync(bytes, { level: 9 }));
  }
}

type Entry = Readonly<{ imports?: readonly string[]; dynamicImports?: readonly string[] }>;
const read = (file: string): Readonly<Record<string, Entry>> =>
  JSON.parse(readFileSync(file, "utf8")) as Readonly<Record<string, Entry>>;

/** The same module is a chunk of its own on several pages: each page's keys begin with its name. */
function ofPage(page: string): readonly (readonly [key: string, entry: Entry])[] {
  const file = join(outDir, `manifest.${page}.json`);
  const own = (keys: readonly string[] = []): readonly string[] => keys.map((key) => `${page}:${key}`);
  const entries = Object.entries(read(file)).map(
    ([key, entry]) =>
      [
        `${page}:${key}`,
        { ...entry, imports: own(entry.imports), dynamicImports: own(entry.dynamicImports) },
      ] as const,
  );
  rmSync(file);
  return entries;
}

/** One manifest for all builds. */
function joinManifests(): void {
  const whole = join(outDir, "manifest.json");
  const entries = [...Object.entries(read(whole)), ...Object.keys(PAGES).flatMap(ofPage)];
  writeFileSync(whole, `${JSON.stringify(Object.fromEntries(entries), null, 1)}\n`);
}

/** Our modules, and these packages, do nothing when merely imported; what nobody uses of them stays out. */
const INERT = [
  /socket\.io|engine\.io/,
  /\/node_modules\/zod\//,
  /\/(rules|engine|wire|paint|shared)\/[^?]*\.tsx?$/,
];

const rollupOptions = (input: Readonly<Record<string, string>>): object => ({
  input,
  treeshake: { moduleSideEffects: INERT.map((test) => ({ test, sideEffects: false })) },
});

/** Each page by itself: a shared piece would make a device load what only other pages use. */
const PAGES: Readonly<Record<string, string>> = {
  fencer: "fencer/main.ts",
  wall: "wall/main.ts",
  judge: "judge/main.tsx",
  table: "table/main.tsx",
  coach: "coach/main.tsx",
};
const pages = Object.entries(PAGES).map(
  ([page, path]) =>
    [
      page,
      {
        consumer: "client",
        build: {
          emptyOutDir: false,
          manifest: `manifest.${page}.json`,
          rollupOptions: rollupOptions({ [page]: entry(path) }),
        },
      },
    ] as const,
);
/** What has no script of its own. */
const inputs: Readonly<Record<string, string>> = {
  style: entry("shared/style.css"),
  type: entry("shared/type.css"),
};

export default defineConfig({
  root: here,
  base: "/",
  publicDir: false,
  plugins: [textOverWebsocket, withoutGlosses, solid(), icon, squeezeTemplates],
  build: {
    outDir,
    emptyOutDir: true,
    assetsDir: "assets",
    manifest: "manifest.json",
    // A data: address would need a wider policy than 'self'.
    assetsInlineLimit: 0,
    modulePreload: false,
    // Weights are held by tests/table-ui/page-weight.test.ts, page by page.
    chunkSizeWarningLimit: 1_000,
    target: "es2022",
  },
  environments: {
    client: { build: { rollupOptions: rollupOptions(inputs) } },
    ...Object.fromEntries(pages),
  },
  builder: {
    async buildApp(builder) {
      // The first one empties the folder.
      for (const name of ["client", ...Object.keys(PAGES)]) {
        const environment = builder.environments[name];
        if (environment !== undefined) await builder.build(environment);
      }
      joinManifests();
      compressOnce();
    },
  },
});
