/**
 * At build time: what a seat never does, its phone need not load. Every seat talks to its own server over a websocket and
 * never polls, and every message is JSON text (wire/messages.ts), never bytes. More than half of the socket's client goes;
 * the protocol, and every line that stays, is the package's own.
 */
import { parseAst, type Plugin } from "vite";

/** Files of which we need less, or nothing. */
const FILES: readonly (readonly [file: RegExp, instead: string])[] = [
  [
    /engine\.io-client\/build\/esm\/transports\/index\.js/,
    'import { WS } from "./websocket.node.js";\nexport const transports = { websocket: WS };',
  ],
  [
    // Every address is our own page's, which the browser has read already.
    /engine\.io-client\/build\/esm\/contrib\/parseuri\.js/,
    `export const parse = (source) => {
  const { protocol, hostname, port } = new URL(source);
  return { source, protocol: protocol.slice(0, -1), host: hostname.replace(/[[\\]]/g, ""), port, path: "" };
};`,
  ],
  [
    /engine\.io-client\/build\/esm\/contrib\/parseqs\.js/,
    "export const encode = (query) => String(new URLSearchParams(query));\nexport const decode = () => ({});",
  ],
  [
    /socket\.io-client\/build\/esm\/url\.js/,
    `export const url = (_, path) => ({ id: location.origin + path, source: location.origin, path: "/" });`,
  ],
  [
    /engine\.io-parser\/build\/esm\/decodePacket\.browser\.js/,
    `import { ERROR_PACKET, PACKET_TYPES_REVERSE } from "./commons.js";
export const decodePacket = (text) => {
  const type = PACKET_TYPES_REVERSE[text[0]];
  return type ? { type, data: text.slice(1) } : ERROR_PACKET;
};`,
  ],
  [
    /engine\.io-parser\/build\/esm\/encodePacket\.browser\.js/,
    `import { PACKET_TYPES } from "./commons.js";
export const encodePacket = ({ type, data }, _binary, done) => done(PACKET_TYPES[type] + (data || ""));
export const encodePacketToBinary = () => undefined;`,
  ],
  [
    /socket\.io-parser\/build\/esm\/is-binary\.js/,
    "export const isBinary = () => false;\nexport const hasBinary = isBinary;",
  ],
  [
    /socket\.io-parser\/build\/esm\/binary\.js/,
    "export const deconstructPacket = (packet) => ({ packet, buffers: [] });\nexport const reconstructPacket = (packet) => packet;",
  ],
];

/** Methods that nobody calls here, and those of which one line is left: without bytes, polling, retries and listeners to all. */
const METHODS: readonly (readonly [file: RegExp, methods: Readonly<Record<string, string>>])[] = [
  [
    /engine\.io-client\/build\/esm\/socket\.js/,
    {
      _probe: "{}",
      _filterUpgrades: "{ return []; }",
      _getWritablePackets: "{ return this.writeBuffer; }",
    },
  ],
  [
    /socket\.io-parser\/build\/esm\/index\.js/,
    {
      encode: "{ return [this.encodeAsString(obj)]; }",
      encodeAsBinary: "{}",
      add: '{ super.emitReserved("decoded", this.decodeString(obj)); }',
      destroy: "{}",
    },
  ],
  [
    /socket\.io-client\/build\/esm\/socket\.js/,
    {
      _registerAckCallback: "{ this.acks[id] = ack; }",
      emitWithAck: "{}",
      _addToQueue: "{}",
      _drainQueue: "{}",
      emitEvent: "{ super.emit.apply(this, args); }",
      compress: "{}",
      timeout: "{}",
      onAny: "{}",
      prependAny: "{}",
      offAny: "{}",
      listenersAny: "{}",
      onAnyOutgoing: "{}",
      prependAnyOutgoing: "{}",
      offAnyOutgoing: "{}",
      listenersAnyOutgoing: "{}",
      notifyOutgoingListeners: "{}",
    },
  ],
];

/** Start and end of the bodies of these methods, last first; throws where a method is missing, for then the package has changed. */
function bodiesOf(code: string, names: readonly string[], id: string): readonly [string, number, number][] {
  const found = parseAst(code).body.flatMap((statement): [string, number, number][] => {
    const declared = statement.type === "ExportNamedDeclaration" ? statement.declaration : statement;
    if (declared?.type !== "ClassDeclaration") return [];
    return declared.body.body.flatMap((member): [string, number, number][] => {
      if (member.type !== "MethodDefinition" || member.key.type !== "Identifier") return [];
      const { body } = member.value;
      const isMeant = names.includes(member.key.name) && body !== null;
      return isMeant ? [[member.key.name, body.start, body.end]] : [];
    });
  });
  const missing = names.filter((name) => !found.some(([one]) => one === name));
  if (missing.length > 0)
    throw new Error(`${id} has no ${missing.join(", ")} any more: look at vite-socket.ts.`);
  return found.sort(([, a], [, b]) => b - a);
}

export const textOverWebsocket: Plugin = {
  name: "text-over-websocket",
  enforce: "pre",
  transform(code, id) {
    const whole = FILES.find(([file]) => file.test(id));
    if (whole !== undefined) return whole[1];
    const [, methods] = METHODS.find(([file]) => file.test(id)) ?? [];
    if (methods === undefined) return undefined;
    return bodiesOf(code, Object.keys(methods), id).reduce(
      (text, [name, start, end]) => text.slice(0, start) + (methods[name] ?? "{}") + text.slice(end),
      code,
    );
  },
};
