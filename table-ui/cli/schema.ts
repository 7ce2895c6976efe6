import { envelopeSchema } from "../../rules/index.ts";

/** `garland schema`: the JSON Schema of a rule set's envelope, for an editor that helps with its keys. */
export function schema(): void {
  process.stdout.write(`${JSON.stringify(envelopeSchema(), null, 2)}\n`);
}
