/** The statements of a PostgreSQL ledger. Each write is one statement, so that one round trip is one durable commit. */

/**
 * Moves the stream's head from version $2 and chain $3 to version $4 and chain $5, and only then writes the command and its
 * events. Whoever comes second waits for the head's row and then finds it moved: nothing is written, `moved` is 0.
 */
const append = (moved: string): string => `
WITH moved AS (${moved}),
named AS (
  INSERT INTO commands (id, digest, stream, first, last) SELECT $6, $7, $1, $2 + 1, $4 FROM moved),
written AS (
  INSERT INTO events (stream, version, type, data, at, chain, command)
  SELECT $1, e.version, e.type, e.data, e.at, e.chain, $6
  FROM moved, unnest($8::bigint[], $9::text[], $10::text[], $11::bigint[], $12::text[])
    AS e(version, type, data, at, chain))
SELECT count(*)::int AS moved FROM moved`;

export const APPEND_FIRST = append(`
  INSERT INTO heads AS h (stream, version, chain) VALUES ($1, $4::bigint, $5)
  ON CONFLICT (stream) DO UPDATE SET version = $4, chain = $5
    WHERE h.version = $2::bigint AND h.chain = $3 RETURNING 1`);

export const APPEND_LATER = append(`
  UPDATE heads SET version = $4::bigint, chain = $5
  WHERE stream = $1 AND version = $2::bigint AND chain = $3 RETURNING 1`);

export const HEAD = "SELECT version, chain FROM heads WHERE stream = $1";
/** Waits for whoever writes to the stream, and keeps everybody else waiting until the transaction ends. */
export const MAKE_HEAD =
  "INSERT INTO heads (stream, version, chain) VALUES ($1, 0, '') ON CONFLICT (stream) DO NOTHING";
export const LOCK_HEAD = `${HEAD} FOR UPDATE`;

export const COMMAND = "SELECT digest, stream, first, last FROM commands WHERE id = $1";
export const EVENTS =
  "SELECT stream, version, type, data, at, chain, command FROM events " +
  "WHERE stream = $1 AND version > $2 AND version <= $3 ORDER BY version";
export const STREAMS = "SELECT stream, version FROM heads WHERE version > 0 ORDER BY stream";

const COUNT = "UPDATE beside SET n = n + 1";
export const BESIDE = "SELECT n FROM beside";

export const PUT_RULE_SET = `
WITH put AS (INSERT INTO rule_sets (hash, text) VALUES ($1, $2) ON CONFLICT (hash) DO NOTHING RETURNING 1)
${COUNT} WHERE EXISTS (SELECT 1 FROM put)`;
export const RULE_SET = "SELECT hash, text FROM rule_sets WHERE hash = $1";
export const RULE_SETS = "SELECT hash, text FROM rule_sets ORDER BY no";

/** An erased person stays as they are; then nothing is put. */
export const PUT_PERSON = `
WITH counted AS (${COUNT})
INSERT INTO people AS p (id, name, short_name, notes, consents, erased) VALUES ($1, $2, $3, $4, $5, $6)
ON CONFLICT (id) DO UPDATE SET name = excluded.name, short_name = excluded.short_name,
  notes = excluded.notes, consents = excluded.consents, erased = excluded.erased
  WHERE excluded.erased OR NOT p.erased
RETURNING 1`;
export const ERASE_PERSON = `
WITH put AS (
  UPDATE people SET name = '', short_name = '', notes = '', consents = '[]', erased = true WHERE id = $1 RETURNING 1)
${COUNT} WHERE EXISTS (SELECT 1 FROM put)`;
export const PEOPLE = "SELECT id, name, short_name, notes, consents, erased FROM people ORDER BY no";

export const PUT_SEAT = `
WITH counted AS (${COUNT})
INSERT INTO seats (id, kind, secret_hash, ring, judge, referee, person, revoked)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
ON CONFLICT (id) DO UPDATE SET kind = excluded.kind, secret_hash = excluded.secret_hash, ring = excluded.ring,
  judge = excluded.judge, referee = excluded.referee, person = excluded.person, revoked = excluded.revoked`;
export const SEATS =
  "SELECT id, kind, secret_hash, ring, judge, referee, person, revoked FROM seats ORDER BY no";

export const STRAY_COMMANDS = `
SELECT id FROM commands WHERE last - first + 1 <>
  (SELECT count(*) FROM events
   WHERE events.stream = commands.stream AND version BETWEEN first AND last AND command = commands.id)
UNION SELECT command AS id FROM events WHERE command NOT IN (SELECT id FROM commands)`;
