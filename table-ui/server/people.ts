/** Names, notes and consents: beside the chain, so that erasing them leaves every chain whole. */
import { nanoid } from "nanoid";
import type { Ledger, Person } from "../../engine/ledger/open.ts";

export interface People {
  get(id: string): Person | undefined;
  all(): readonly Person[];
  /** Enters a person and gives the id. */
  enter(person: Pick<Person, "name" | "shortName" | "notes" | "consents">): Promise<string>;
  /** Empties the row; false if there is no such person. */
  erase(id: string): Promise<boolean>;
  /** Reads what another process has written since. */
  reload(): Promise<void>;
}

export async function openPeople(ledger: Ledger): Promise<People> {
  const people = new Map<string, Person>();
  const reload = async (): Promise<void> => {
    for (const person of await ledger.people()) people.set(person.id, person);
  };
  await reload();
  return {
    get: (id) => people.get(id),
    all: () => [...people.values()],
    async enter(person) {
      const entered: Person = { ...person, id: nanoid(12), erased: false };
      await ledger.putPerson(entered);
      people.set(entered.id, entered);
      return entered.id;
    },
    async erase(id) {
      if (!people.has(id)) return false;
      await ledger.erasePerson(id);
      people.set(id, { id, name: "", shortName: "", notes: "", consents: [], erased: true });
      return true;
    },
    reload,
  };
}
