/** Who may speak to the server at all: the Host and Origin of a request, and what a page of ours may load. */
import { isIP } from "node:net";
import { hostname } from "node:os";

export interface DoorOptions {
  /** Open to the hall: any address that is a number, and this machine's own name. */
  readonly lan: boolean;
  /** Further names that lead here ("hall.example"). */
  readonly hosts: readonly string[];
}

/** "hall.test:8080" -> "hall.test"; "[::1]:8080" -> "::1"; undefined for what is no host. */
export function hostNamed(header: string | undefined): string | undefined {
  const found = /^(?:\[([0-9a-fA-F:.]+)\]|([A-Za-z0-9.-]{1,253}))(?::\d{1,5})?$/.exec(header ?? "");
  return (found?.[1] ?? found?.[2])?.toLowerCase().replace(/\.$/, "");
}

const LOOPBACK = new Set(["localhost", "127.0.0.1", "::1"]);

/**
 * Whether a Host header names this server. A page of another site can make its own name lead to our address; it cannot
 * make a browser send our name, or a bare address, with it.
 */
export function isOurHost(header: string | undefined, { lan, hosts }: DoorOptions): boolean {
  const name = hostNamed(header);
  if (name === undefined) return false;
  if (LOOPBACK.has(name) || /^127(\.\d{1,3}){3}$/.test(name)) return true;
  if (hosts.some((host) => host.toLowerCase() === name)) return true;
  if (!lan) return false;
  const own = hostname().toLowerCase();
  return isIP(name) !== 0 || name === own || name === `${own}.local`;
}

/** Whether a request comes from a page of ours, or from no page at all (a program sends no Origin). */
export function isOurOrigin(origin: string | undefined, host: string | undefined): boolean {
  if (origin === undefined) return true;
  return origin === `http://${host ?? ""}` || origin === `https://${host ?? ""}`;
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

/** Headers of every answer. */
export const HEADERS: Readonly<Record<string, string>> = {
  "referrer-policy": "no-referrer",
  "x-content-type-options": "nosniff",
  "cross-origin-resource-policy": "same-origin",
  "permissions-policy": "camera=(), microphone=(), geolocation=()",
};
