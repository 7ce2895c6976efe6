/** The program of process.test.ts: serves with plain pages and says where, one JSON line; refusals go to stderr. */
import { serve } from "../../../table-ui/server/main.ts";
import { plainPages } from "./hall.ts";

const [, , dir = "", port = "0", evening = "", ledger, fanout] = process.argv;

process.exitCode = await serve(
  {
    dir,
    port: Number(port),
    lan: false,
    pages: plainPages,
    assetsDir: dir,
    evening: evening === "evening",
    log: { level: "silent" },
    ...(ledger === undefined ? {} : { ledger }),
    ...(fanout === undefined ? {} : { fanout }),
    started: ({ url, coachPath }, ledger) => {
      const file = "file" in ledger ? ledger.file : undefined;
      process.stdout.write(`${JSON.stringify({ url, coachPath, file })}\n`);
    },
  },
  (sentence) => process.stderr.write(`${sentence}\n`),
);
