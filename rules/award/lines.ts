/** The lines of a sheet as scoring takes them: corrections put where they belong, one bout after another. */
import type { BoutSheet, ExchangeLine, SheetLine } from "../record.ts";
import type { Side } from "../vocabulary.ts";

/** `again 3 ...` rewrites exchange 3 of its bout; the line itself goes. Each exchange knows who is left-handed. */
export function withCorrections(sheet: BoutSheet): readonly SheetLine[] {
  const lines = corrected(sheet);
  return lines.some(({ type }) => type === "left-handed") ? withHands(lines) : lines;
}

const handed = new WeakMap<ExchangeLine, Map<string, ExchangeLine>>();

/** The same line for the same line and hands, because what was worked out of a line is kept by it. */
function withLeftHanders(line: ExchangeLine, leftHanded: readonly Side[]): ExchangeLine {
  const known = handed.get(line) ?? new Map<string, ExchangeLine>();
  handed.set(line, known);
  const key = leftHanded.join();
  const found = known.get(key) ?? { ...line, leftHanded };
  known.set(key, found);
  return found;
}

/** A `left-handed` line is about its whole bout, wherever in the bout it stands. */
function withHands(lines: readonly SheetLine[]): readonly SheetLine[] {
  const bouts: Set<Side>[] = [new Set()];
  for (const line of lines) {
    if (line.type === "bout") bouts.push(new Set());
    if (line.type === "left-handed") bouts.at(-1)?.add(line.side);
  }
  let bout = 0;
  return lines.map((line) => {
    if (line.type === "bout") bout++;
    const left = bouts[bout] ?? new Set();
    return line.type === "exchange" && left.size > 0 ? withLeftHanders(line, [...left].sort()) : line;
  });
}

function corrected(sheet: BoutSheet): readonly SheetLine[] {
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
