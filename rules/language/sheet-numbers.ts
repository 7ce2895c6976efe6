/** The order of exchange numbers within a bout: they rise, and only `again` names one that was. */
import type { SheetLine } from "../record.ts";
import { type Complaint, nothingToRewrite, numberBack, numberTaken } from "./sheet-faults.ts";

export class Numbers {
  private seen = new Set<number>();
  private last = 0;

  /** The number that the next exchange has if it simply follows. */
  following(): number {
    return this.last + 1;
  }

  /** Takes the line in; says what is wrong with its number, if anything. */
  next(line: SheetLine): Complaint | undefined {
    if (line.type === "bout" || line.type === "evening") {
      this.seen = new Set();
      this.last = 0;
    }
    if (line.type !== "exchange") return undefined;
    const { no, again } = line;
    if (again) return this.seen.has(no) ? undefined : nothingToRewrite(no);
    if (this.seen.has(no)) return numberTaken(no);
    const refusal = no < this.last ? numberBack(no, this.last) : undefined;
    this.seen.add(no);
    this.last = Math.max(this.last, no);
    return refusal;
  }
}
