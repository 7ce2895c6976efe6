/** Rows of a PostgreSQL ledger as the port's types. */
import type { SealedEvent } from "./chain.ts";
import type { Person, SeatKind, StoredSeat } from "./ledger.ts";

export interface EventRow {
  readonly stream: string;
  readonly version: number;
  readonly type: string;
  readonly data: string;
  readonly at: number;
  readonly chain: string;
  readonly command: string;
}
export const sealedOf = ({ data: text, ...row }: EventRow): SealedEvent => ({ ...row, text });

export interface CommandRow {
  readonly digest: string;
  readonly stream: string;
  readonly first: number;
  readonly last: number;
}

export interface PersonRow {
  readonly id: string;
  readonly name: string;
  readonly short_name: string;
  readonly notes: string;
  readonly consents: string;
  readonly erased: boolean;
}
export function personOf({ short_name: shortName, consents, ...row }: PersonRow): Person {
  const read: unknown = JSON.parse(consents);
  return { ...row, shortName, consents: Array.isArray(read) ? read.map(String) : [] };
}

export interface SeatRow {
  readonly id: string;
  /** The table's own check lets no other in. */
  readonly kind: SeatKind;
  readonly secret_hash: string;
  readonly ring: string | null;
  readonly judge: number | null;
  readonly referee: boolean | null;
  readonly person: string | null;
  readonly revoked: boolean;
}
export const seatOf = ({
  id,
  kind,
  secret_hash,
  ring,
  judge,
  referee,
  person,
  revoked,
}: SeatRow): StoredSeat => ({
  id,
  kind,
  secretHash: secret_hash,
  ...(ring === null ? {} : { ring }),
  ...(judge === null ? {} : { judge }),
  ...(referee === null ? {} : { referee }),
  ...(person === null ? {} : { person }),
  revoked,
});
