/** One request on a line of its own, byte for byte: what no library would send. */
import { connect } from "node:net";

export interface Heard {
  readonly status: number;
  /** In lower case. */
  readonly headers: Readonly<Record<string, string>>;
  readonly text: string;
}

function read(text: string): Heard {
  const [head = "", ...rest] = text.split("\r\n\r\n");
  const [first = "", ...lines] = head.split("\r\n");
  const headers = Object.fromEntries(
    lines.map((line) => [
      line.slice(0, line.indexOf(":")).toLowerCase(),
      line.slice(line.indexOf(":") + 1).trim(),
    ]),
  );
  return { status: Number(first.split(" ")[1] ?? 0), headers, text: rest.join("\r\n\r\n") };
}

/** Sends the text and gives what came back; status 0 where the line was cut without a word. */
export function ask(port: number, request: string): Promise<Heard> {
  return new Promise((done) => {
    let text = "";
    const line = connect(port, "127.0.0.1", () => line.write(request, "latin1"));
    line.on("data", (chunk: Buffer) => {
      text += chunk.toString();
      // An open socket says nothing more of its own, and stays open.
      if (text.startsWith("HTTP/1.1 101")) line.destroy();
    });
    line.on("error", () => undefined);
    line.on("close", () => done(read(text)));
  });
}

/** A page's request with these lines after the first. */
export const page = (path: string, ...lines: readonly string[]): string =>
  [`GET ${path} HTTP/1.1`, ...lines, "Connection: close", "", ""].join("\r\n");

/** A socket's request with these lines after the first; the key is the one of RFC 6455, section 1.3. */
export const upgrade = (...lines: readonly string[]): string =>
  [
    "GET /socket.io/?EIO=4&transport=websocket HTTP/1.1",
    ...lines,
    "Connection: Upgrade",
    "Upgrade: websocket",
    "Sec-WebSocket-Version: 13",
    "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
    "",
    "",
  ].join("\r\n");
