/** Who may speak to the server at all: the Host and Origin of a request, and what a page of ours may load. */
import type { IncomingMessage } from "node:http";
import { isIP, isIPv4 } from "node:net";
import { hostname } from "node:os";

export interface DoorOptions {
  /** Open to the hall: any address that is a number, and this machine's own name. */
  readonly lan: boolean;
  /** Further names that lead here ("hall.example"). */
  readonly hosts: readonly string[];
  /** Whether this server itself speaks https; behind a proxy that does, it does not know. */
  readonly secure?: boolean;
}

/** "hall.test:8080" -> "hall.test"; "[::1]:8080" -> "::1"; undefined for what is no host. */
export function hostNamed(header: string | undefined): string | undefined {
  const found = /^(?:\[([0-9a-fA-F:.]+)\]|([A-Za-z0-9.-]{1,253}))(?::\d{1,5})?$/.exec(header ?? "");
  return (found?.[1] ?? found?.[2])?.toLowerCase().replace(/\.$/, "");
}

/** This machine under its own names and addresses: no other machine can be reached by them. */
const isLoopback = (name: string): boolean =>
  name === "localhost" || name === "::1" || (isIPv4(name) && name.startsWith("127."));

/**
 * Whether a Host header names this server. A page of another site can make its own name lead to our address (DNS
 * rebinding); it cannot make a browser send our name, or a bare address, with it.
 */
export function isOurHost(header: string | undefined, { lan, hosts }: DoorOptions): boolean {
  const name = hostNamed(header);
  if (name === undefined) return false;
  if (isLoopback(name) || hosts.some((host) => hostNamed(host) === name)) return true;
  if (!lan) return false;
  const own = hostname().toLowerCase();
  return isIP(name) !== 0 || name === own || name === `${own}.local`;
}

/** Whether a request comes from a page of ours, or from no page at all (a program sends no Origin). */
export function isOurOrigin(origin: string | undefined, host: string | undefined, secure = false): boolean {
  if (origin === undefined) return true;
  return origin === `https://${host ?? ""}` || (!secure && origin === `http://${host ?? ""}`);
}

/** A header's values as they came: Node keeps only the first of two Hosts, and a proxy before it may have read the other. */
const countOf = (raw: readonly string[], name: string): number =>
  raw.filter((word, i) => i % 2 === 0 && word.toLowerCase() === name).length;

/** [W1] Whether a request, a page's or a socket's, came to this server by a name of its own, from nobody's page but ours. */
export function isOurRequest(
  { headers, rawHeaders, url }: Pick<IncomingMessage, "headers" | "rawHeaders" | "url">,
  door: DoorOptions,
): boolean {
  const { host, origin } = headers;
  const once = countOf(rawHeaders, "host") === 1 && countOf(rawHeaders, "origin") <= 1;
  // "GET http://elsewhere/ HTTP/1.1" names another host than the header does.
  const isPath = url?.startsWith("/") === true;
  return once && isPath && isOurHost(host, door) && isOurOrigin(origin, host, door.secure);
}

/**
 * The page's policy, written out by hand: nothing but our own files, no inline script or style, no frames. It must not
 * upgrade to https: on a LAN there is none. `host` has passed isOurHost.
 */
export function pagePolicy(host: string): string {
  return [
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "font-src 'self'",
    "img-src 'self' data: blob:",
    // Some browsers do not count the socket of the same host as 'self'.
    `connect-src 'self' ws://${host} wss://${host}`,
    "manifest-src 'self'",
    "worker-src 'self'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join("; ");
}

/**
 * Headers of every answer. No Strict-Transport-Security: a club's certificate comes and goes with its laptop, and a
 * browser that remembers it would find the hall shut the next evening.
 */
const HEADERS: Readonly<Record<string, string>> = {
  // What is no page loads nothing; a page brings its own policy.
  "content-security-policy":
    "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
  "referrer-policy": "no-referrer",
  "x-content-type-options": "nosniff",
  "x-frame-options": "DENY",
  "x-permitted-cross-domain-policies": "none",
  "x-dns-prefetch-control": "off",
  "cross-origin-resource-policy": "same-origin",
  "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=(), serial=()",
};

/** Browsers heed these only where the page is secure, and complain of them elsewhere. */
const WHERE_SECURE: Readonly<Record<string, string>> = {
  "cross-origin-opener-policy": "same-origin",
  "cross-origin-embedder-policy": "require-corp",
};

export function headersFor(
  host: string | undefined,
  { secure }: DoorOptions,
): Readonly<Record<string, string>> {
  const isSecure = secure === true || isLoopback(hostNamed(host) ?? "");
  return isSecure ? { ...HEADERS, ...WHERE_SECURE } : HEADERS;
}
