/** The `garland` command line: reads arguments, runs one command, sets the exit code. */
import { Command, CommanderError } from "commander";
import { backupCommand } from "./backup.ts";
import { check } from "./check.ts";
import { explainFile } from "./explain.ts";
import { restoreCommand } from "./restore.ts";
import { CannotDo, EXIT_UNUSABLE } from "./say.ts";
import { schema } from "./schema.ts";
import { score } from "./score.ts";
import { serveCommand } from "./serve.ts";
import { verifyCommand } from "./verify.ts";

function garland(): Command {
  const program = new Command("garland")
    .description("Themed sparring for historical-fencing clubs: rule sets, scoring and live screens.")
    .showHelpAfterError(false)
    .exitOverride()
    .configureOutput({ outputError: (text, write) => write(text.replace(/^error: /, "garland: ")) });

  program
    .command("check")
    .description("read rule sets and name every fault as file:line:column, with the cure")
    .argument("<file...>", "rule set files (YAML)")
    .addHelpText("after", "\nExample:\n  npm run -s garland -- check rules/sets/answer-from-above.yaml")
    .action(check);

  program
    .command("explain")
    .description("read a rule set back in plain words")
    .argument("<file>", "a rule set file (YAML)")
    .option("--in <tongue>", "print its own sentences instead, in english or german")
    .addHelpText("after", "\nExample:\n  npm run -s garland -- explain rules/sets/answer-from-above.yaml")
    .action(explainFile);

  program
    .command("score")
    .description("score a written bout under a rule set, each award with its sentence")
    .argument("<ruleset>", "a rule set file (YAML)")
    .argument("<bout>", "a bout sheet, or the same as JSON Lines; - reads what is piped in")
    .option("--json", "print one JSON object instead")
    .addHelpText(
      "after",
      "\nExample:\n  npm run -s garland -- score rules/sets/answer-from-above.yaml tests/golden/bouts/answer-from-above.sheet",
    )
    .action(score);

  program
    .command("schema")
    .description("print the JSON Schema of a rule set's keys, for an editor that helps to write them")
    .addHelpText("after", "\nExample:\n  npm run -s garland -- schema > rule-set.schema.json")
    .action(schema);

  serveCommand(program);
  verifyCommand(program);
  backupCommand(program);
  restoreCommand(program);
  // One word of help for each command, and unknown options are refused alike everywhere.
  for (const command of program.commands) command.allowExcessArguments(false).exitOverride();
  return program;
}

/** Runs the command in `args`; sets process.exitCode to 0, 1 (faults found) or 2 (could not be done). */
export async function main(args: readonly string[]): Promise<void> {
  const program = garland();
  if (args.length === 0) {
    program.outputHelp();
    return;
  }
  try {
    await program.parseAsync([...args], { from: "user" });
  } catch (error) {
    if (error instanceof CommanderError) {
      process.exitCode = error.exitCode === 0 ? 0 : EXIT_UNUSABLE;
      return;
    }
    if (error instanceof CannotDo) {
      process.stderr.write(`garland: ${error.message}\n`);
      process.exitCode = EXIT_UNUSABLE;
      return;
    }
    throw error;
  }
}
