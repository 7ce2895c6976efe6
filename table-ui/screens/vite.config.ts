/** Builds the pages into .build/pages: hashed files and their manifest, each also compressed once, for good. */
import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, gzipSync } from "node:zlib";
import { defineConfig, type Plugin } from "vite";
import solid from "vite-plugin-solid";

const here = fileURLToPath(new URL(".", import.meta.url));
const entry = (path: string): string => join(here, path);
const outDir = join(here, "../../.build/pages");

/** The tab's picture; its name never changes, so the pages need not look it up. */
const icon: Plugin = {
  name: "icon",
  generateBundle() {
    this.emitFile({
      type: "asset",
      fileName: "assets/icon.svg",
      source: readFileSync(entry("shared/icon.svg")),
    });
  },
};

/**
 * Every seat talks over a websocket and never polls, so a phone need not load the other transports: a third of the
 * socket's client.
 */
const websocketOnly: Plugin = {
  name: "websocket-only",
  enforce: "pre",
  transform: (_code, id) =>
    /engine\.io-client\/build\/esm\/transports\/index\.js/.test(id)
      ? 'import { WS } from "./websocket.node.js";\nexport const transports = { websocket: WS };'
      : undefined,
};

/** The server sends the .br or .gz beside a file, so that nothing is compressed per request. */
function compressOnce(): void {
  const assets = join(outDir, "assets");
  for (const name of readdirSync(assets)) {
    if (!/\.(js|css|svg)$/.test(name)) continue;
    const bytes = readFileSync(join(assets, name));
    writeFileSync(join(assets, `${name}.br`), brotliCompressSync(bytes));
    writeFileSync(join(assets, `${name}.gz`), gzipSync(bytes, { level: 9 }));
  }
}

/** One manifest for both builds. */
function joinManifests(): void {
  const own = join(outDir, "manifest.fencer.json");
  const whole = join(outDir, "manifest.json");
  const read = (file: string): object => JSON.parse(readFileSync(file, "utf8")) as object;
  writeFileSync(whole, `${JSON.stringify({ ...read(whole), ...read(own) }, null, 1)}\n`);
  rmSync(own);
}

const rollupOptions = (input: Readonly<Record<string, string>>): object => ({
  input,
  // The socket's packages do nothing when merely imported; they only forget to say so.
  treeshake: { moduleSideEffects: (id: string) => !/socket\.io|engine\.io/.test(id) },
});

const inputs: Readonly<Record<string, string>> = {
  wall: entry("wall/main.ts"),
  judge: entry("judge/main.tsx"),
  coach: entry("coach/main.tsx"),
  table: entry("table/main.tsx"),
  style: entry("shared/style.css"),
  type: entry("shared/type.css"),
};

export default defineConfig({
  root: here,
  base: "/",
  publicDir: false,
  plugins: [websocketOnly, solid(), icon],
  build: {
    outDir,
    emptyOutDir: true,
    assetsDir: "assets",
    manifest: "manifest.json",
    // A data: address would need a wider policy than 'self'.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: "es2022",
  },
  environments: {
    client: { build: { rollupOptions: rollupOptions(inputs) } },
    // By itself, in one file: shared pieces would make a slow phone load what only other pages use.
    fencer: {
      consumer: "client",
      build: {
        emptyOutDir: false,
        manifest: "manifest.fencer.json",
        rollupOptions: rollupOptions({ fencer: entry("fencer/main.ts") }),
      },
    },
  },
  builder: {
    async buildApp(builder) {
      for (const environment of Object.values(builder.environments))
        if (environment.name === "client" || environment.name === "fencer") await builder.build(environment);
      joinManifests();
      compressOnce();
    },
  },
});
