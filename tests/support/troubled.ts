/** A ledger that fails when it is told to, as a disk or a database would. */
import { LedgerFault, openLedger, type Ledger, type LedgerFaultCode } from "../../engine/ledger/open.ts";

export interface Troubled {
  readonly ledger: Ledger;
  /** From now on every write fails so (`unreachable`: every read too); undefined: nothing fails any more. */
  fail(code: LedgerFaultCode | undefined): void;
  /** How often something was asked of it, whatever came of it. */
  readonly asked: () => number;
}

const WRITES: ReadonlySet<string | symbol> = new Set([
  "append",
  "putRuleSet",
  "putPerson",
  "erasePerson",
  "putSeat",
  "probe",
]);

/** What was appended before needs no room to be answered again. */
async function isKnown(ledger: Ledger, [, , , key]: readonly unknown[]): Promise<boolean> {
  const id = typeof key === "object" && key !== null && "id" in key ? String(key.id) : "";
  return (await ledger.outcomeOf(id)) !== undefined;
}

/** `kept`: where what does not fail is written. With `probes` it can be tried by a write that changes nothing. */
export async function openTroubled(probes = true, kept?: Ledger): Promise<Troubled> {
  const memory = kept ?? (await openLedger({ memory: true }));
  let code: LedgerFaultCode | undefined;
  let asked = 0;
  const ledger = new Proxy(memory, {
    get(target, name) {
      const member: unknown =
        name === "probe" && probes ? () => Promise.resolve() : Reflect.get(target, name, target);
      if (typeof member !== "function") return member;
      return async (...args: unknown[]): Promise<unknown> => {
        asked += 1;
        const known = name === "append" && (await isKnown(memory, args));
        if (code !== undefined && (code === "unreachable" || (WRITES.has(name) && !known)))
          throw new LedgerFault(code, `told to be ${code}`);
        return Reflect.apply(member, target, args) as unknown;
      };
    },
  });
  return { ledger, fail: (next) => void (code = next), asked: () => asked };
}

export interface Ticking {
  readonly again: (work: () => void) => () => void;
  /** Runs what is to be run every few seconds, once. */
  tick(): void;
  /** How many works wait for the next tick. */
  readonly waiting: () => number;
}

/** A clock's "every few seconds" in the test's own hand. */
export function ticking(): Ticking {
  const works = new Set<() => void>();
  return {
    again(work) {
      works.add(work);
      return () => void works.delete(work);
    },
    tick: () => works.forEach((work) => work()),
    waiting: () => works.size,
  };
}
