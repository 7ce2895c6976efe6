import { chromium, type Browser } from "playwright-core";

/** Debian's Chromium, as everybody's tests use it. */
export const launchBrowser = (...more: readonly string[]): Promise<Browser> =>
  chromium.launch({
    executablePath: process.env["CHROME_PATH"] ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      ...more,
    ],
  });
