/** The check of a ledger, told to a person. */
import type { LedgerReport } from "../../engine/ledger/open.ts";

const count = (n: number, one: string, many: string): string =>
  `${n.toLocaleString("en")} ${n === 1 ? one : many}`;

/** "14 bouts, 1,204 events: all sound." */
export function summary({ bouts, events, differences }: LedgerReport): string {
  const held = `${count(bouts, "bout", "bouts")}, ${count(events, "event", "events")}`;
  if (differences.length === 0) return `${held}: all sound.`;
  return `${held}: ${count(differences.length, "difference", "differences")}.`;
}

/** The summary; each difference with its place and what to do, the same advice once for those that follow each other. */
export function told(report: LedgerReport): string {
  const { differences, remarks } = report;
  const lines = [summary(report)];
  differences.forEach(({ where, version, sentence, cure }, at) => {
    const place = version === undefined ? where : `${where}, event ${version}`;
    lines.push("", `${place}: ${sentence}`);
    if (differences[at + 1]?.cure !== cure) lines.push(`  ${cure}`);
  });
  if (remarks.length > 0) lines.push("", ...remarks);
  return `${lines.join("\n")}\n`;
}

/** What a copy of a ledger is, for whoever keeps it. */
export const register = (people: number): string =>
  people === 0
    ? "It holds no names."
    : `It holds names and notes of ${count(people, "person", "people")}: keep it as you keep a register of members.`;
