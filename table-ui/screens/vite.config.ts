/** Builds the pages into .build/pages: hashed files and their manifest, each also compressed once, for good. */
import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { defineConfig, type Plugin } from "vite";
import solid from "vite-plugin-solid";

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

/**
 * What a seat never does, its phone need not load: every seat talks over a websocket and never polls, and every message
 * is JSON text (wire/messages.ts), never bytes. Half of the socket's client goes; the protocol stays as it is.
 */
const UNUSED: readonly (readonly [file: RegExp, instead: string])[] = [
  [
    /engine\.io-client\/build\/esm\/transports\/index\.js/,
    'import { WS } from "./websocket.node.js";\nexport const transports = { websocket: WS };',
  ],
  [
    /engine\.io-parser\/build\/esm\/encodePacket\.browser\.js/,
    `import { PACKET_TYPES } from "./commons.js";
export const encodePacket = ({ type, data }, _binary, done) => done(PACKET_TYPES[type] + (data || ""));
export const encodePacketToBinary = () => undefined;`,
  ],
  [/engine\.io-parser\/build\/esm\/contrib\/base64-arraybuffer\.js/, "export const decode = (text) => text;"],
  [
    /socket\.io-parser\/build\/esm\/is-binary\.js/,
    "export const isBinary = () => false;\nexport const hasBinary = isBinary;",
  ],
  [
    /socket\.io-parser\/build\/esm\/binary\.js/,
    "export const deconstructPacket = (packet) => ({ packet, buffers: [] });\nexport const reconstructPacket = (packet) => packet;",
  ],
];
const textOverWebsocket: Plugin = {
  name: "text-over-websocket",
  enforce: "pre",
  transform: (_code, id) => UNUSED.find(([file]) => file.test(id))?.[1],
};

/** In a minified file line breaks stand only in templates of HTML, where they are layout (paint/markup.ts). */
const squeezeTemplates: Plugin = {
  name: "squeeze-templates",
  enforce: "post",
  applyToEnvironment: (environment) => environment.name === "fencer",
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

const read = (file: string): object => JSON.parse(readFileSync(file, "utf8")) as object;

/** One manifest for both builds. */
function joinManifests(): void {
  const own = join(outDir, "manifest.fencer.json");
  const whole = join(outDir, "manifest.json");
  writeFileSync(whole, `${JSON.stringify({ ...read(whole), ...read(own) }, null, 1)}\n`);
  rmSync(own);
}

const rollupOptions = (input: Readonly<Record<string, string>>): object => ({
  input,
  // The socket's packages do nothing when merely imported; they only forget to say so.
  treeshake: { moduleSideEffects: [{ test: /socket\.io|engine\.io/, sideEffects: false }] },
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
  plugins: [textOverWebsocket, solid(), icon, squeezeTemplates],
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
