/** What the server asks of the painter: finished documents. The command line hands it in, for the server knows no screens. */
import type { FencerView, WallView } from "../wire/views.ts";

export interface Pages {
  fencer(view: FencerView): string;
  wall(view: WallView): string;
  app(kind: "coach" | "table" | "judge", title: string): string;
  /** The link opens no seat, or none just now: the ledger is out of reach, or too many wrong links came from there. */
  lost(kind: "unknown" | "revoked" | "away" | "too many"): string;
  style(): string;
}
