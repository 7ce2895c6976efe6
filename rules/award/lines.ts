/** The lines of a sheet as scoring takes them: corrections put where they belong, one bout after another. */
import type { BoutSheet, ExchangeLine, SheetLine } from "../record.ts";

/** `again 3 ...` rewrites exchange 3 of its bout; the line itself goes. */
export function withCorrections(sheet: BoutSheet): readonly SheetLine[] {
  const lines: SheetLine[] = [];
  let from = 0;
  for (const line of sheet) {
    if (line.type === "bout") from = lines.length;
    if (line.type !== "exchange" || line.again !== true) {
      lines.push(line);
      continue;
    }
    const at = lines.findIndex((one, i) => i >= from && one.type === "exchange" && one.no === line.no);
    const { again: _, ...plain } = line;
    if (at < 0) lines.push(plain);
    else {
      const before = lines[at] as ExchangeLine;
      lines[at] = before.id === undefined || plain.id !== undefined ? plain : { ...plain, id: before.id };
    }
  }
  return lines;
}

/** Acts of a line by id; a line without ids is numbered "2a", "2b" ... */
export const actId = (line: ExchangeLine, index: number): string =>
  line.acts[index]?.id ?? `${String(line.no)}${letters(index)}`;

const letters = (n: number): string =>
  n < 26 ? String.fromCharCode(97 + n) : letters(Math.floor(n / 26) - 1) + letters(n % 26);
