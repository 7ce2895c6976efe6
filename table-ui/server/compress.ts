/** Finished pages compressed on their way: on a hall's Wi-Fi the first paint waits for bytes. */
import { brotliCompress, constants, gzip } from "node:zlib";
import { promisify } from "node:util";

const brotli = promisify(brotliCompress);
const zip = promisify(gzip);
/** Shorter texts fit one packet anyhow. */
const WORTH_IT = 1_000;

export interface Packed {
  readonly body: string | Buffer;
  readonly encoding?: "br" | "gzip";
}

/** The codings that a reader takes, by their names; "q=0" is one that it does not (RFC 9110, section 12.5.3). */
function wished(accepts: string): ReadonlySet<string> {
  const wishes = accepts
    .toLowerCase()
    .split(",")
    .map((wish) => wish.split(";").map((part) => part.trim()));
  return new Set(wishes.flatMap(([name = "", ...more]) => (more.some(isNever) ? [] : [name])));
}
const isNever = (part: string): boolean => /^q=0(?:\.0*)?$/.test(part);

/** A page as the browser can take it; brotli at a level that costs about a millisecond. */
export async function packed(page: string, accepts: string | undefined): Promise<Packed> {
  if (page.length < WORTH_IT) return { body: page };
  const offered = wished(accepts ?? "");
  if (offered.has("br")) {
    const params = { [constants.BROTLI_PARAM_QUALITY]: 5 };
    return { body: await brotli(page, { params }), encoding: "br" };
  }
  if (offered.has("gzip")) return { body: await zip(page), encoding: "gzip" };
  return { body: page };
}
