/** The evening in one JSON file: every stream, the rule sets by hash, and the people as they are kept. No seats. */
import type { House } from "./house.ts";
import { boutStream, MEET } from "./streams.ts";

/** The file's form; it grows with new keys only. */
const FORM = 1;

/** Everything of the evening as one JSON text. Erased people are empty rows in it too. */
export async function exportEvening(house: House): Promise<string> {
  const { ledger, streams, shelf, people } = house;
  const bouts = await Promise.all(
    streams.meet.called.map(async ({ bout }) => ({
      bout,
      tally: streams.bout(bout)?.bout.tally,
      ruleSet: streams.bout(bout)?.bout.ruleSet,
      events: await ledger.read(boutStream(bout)),
    })),
  );
  const used = new Set([
    ...streams.meet.shelf.map(({ ruleSet }) => ruleSet),
    ...bouts.flatMap(({ ruleSet }) => ruleSet ?? []),
  ]);
  const ruleSets = [...used].flatMap((hash) => {
    const file = shelf.get(hash);
    return file === undefined ? [] : [[hash, { name: file.ruleSet.name, text: file.text }] as const];
  });
  const evening = {
    form: FORM,
    evening: streams.meet.name,
    writtenAt: house.now(),
    meet: { state: streams.meet, events: await ledger.read(MEET) },
    people: people.all(),
    ruleSets: Object.fromEntries(ruleSets),
    bouts,
  };
  return `${JSON.stringify(evening, null, 1)}\n`;
}
