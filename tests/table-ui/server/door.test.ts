import { hostname } from "node:os";
import { describe, expect, test } from "vitest";
import { hostNamed, isOurHost, isOurOrigin, pagePolicy } from "../../../table-ui/server/door.ts";

const here = { lan: false, hosts: [] };
const hall = { lan: true, hosts: ["hall.test"] };

describe("[W1] whose name a request may call", () => {
  test.each(["127.0.0.1:8080", "localhost", "localhost:80", "[::1]:8080", "127.1.2.3:1"])(
    "on this machine: %s",
    (host) => {
      expect(isOurHost(host, here)).toBe(true);
    },
  );

  test.each([
    "hall.test",
    "192.168.1.20:8080",
    "evil.example",
    "localhost.evil.example",
    "127.0.0.1.evil.example",
    "",
    "localhost:80:80",
    "a b",
    "localhost\r\nx: y",
    undefined,
  ])("not without --lan: %s", (host) => {
    expect(isOurHost(host, here)).toBe(false);
  });

  test.each(["hall.test:8080", "HALL.TEST", "192.168.1.20:8080", "[fe80::1]:8080", hostname()])(
    "in the hall: %s",
    (host) => {
      expect(isOurHost(host, hall)).toBe(true);
    },
  );

  test("a name that only leads to our address is refused in the hall too", () => {
    expect(isOurHost("rebound.example:8080", hall)).toBe(false);
  });

  test("a name is read from its header once and for all", () => {
    expect(hostNamed("Hall.Test.:80")).toBe("hall.test");
    expect(hostNamed("[::1]:80")).toBe("::1");
    expect(hostNamed("user@hall.test")).toBeUndefined();
  });

  test("a page of another origin is no page of ours, a program without one is welcome", () => {
    expect(isOurOrigin("http://127.0.0.1:8080", "127.0.0.1:8080")).toBe(true);
    expect(isOurOrigin("https://hall.test", "hall.test")).toBe(true);
    expect(isOurOrigin("http://127.0.0.1:9090", "127.0.0.1:8080")).toBe(false);
    expect(isOurOrigin("null", "127.0.0.1:8080")).toBe(false);
    expect(isOurOrigin(undefined, "127.0.0.1:8080")).toBe(true);
  });
});

test("[W2] the page's policy allows our own files and nothing inline, and upgrades nothing to https", () => {
  const policy = pagePolicy("127.0.0.1:8080");
  expect(policy).toMatch(/^default-src 'none'/);
  expect(policy).not.toContain("unsafe");
  expect(policy).not.toContain("upgrade-insecure-requests");
  expect(policy).toContain("ws://127.0.0.1:8080");
  expect(policy).toContain("frame-ancestors 'none'");
});
