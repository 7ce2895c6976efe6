import { defineConfig } from "vitest/config";

const long = process.env["LONG"] === "1";

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    include: ["tests/**/*.test.ts"],
    globalSetup: ["tests/support/services-folder.ts"],
    // Wall time proves nothing; these only stop a test that hangs.
    testTimeout: long ? 1_800_000 : 120_000,
    hookTimeout: 120_000,
    maxWorkers: 2,
  },
});
