/** The tables of a PostgreSQL ledger, in a schema of their own, and how an older one grows into the newest. */
import type { ClientBase } from "pg";
import { LedgerCannotOpen } from "./ledger.ts";

/** What never changes may not change by any hand: the database itself refuses it. */
const unchanging = (table: string): string => `
CREATE TRIGGER ${table}_never_change BEFORE UPDATE OR DELETE ON ${table}
  FOR EACH ROW EXECUTE FUNCTION refuse('${table} are never changed and never deleted');
CREATE TRIGGER ${table}_never_go BEFORE TRUNCATE ON ${table}
  FOR EACH STATEMENT EXECUTE FUNCTION refuse('${table} are never deleted');`;

/**
 * Texts compare by bytes (COLLATE "C"), as they do in every driver. Data is text and not jsonb, which would order keys and
 * numbers anew, so that chains verify. A stream's row in `heads` is where its writers queue: it moves in the same
 * statement that writes the events.
 */
const FIRST = `
CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
  BEGIN RAISE EXCEPTION '%', TG_ARGV[0]; END $$;

CREATE TABLE heads (
  stream  text COLLATE "C" PRIMARY KEY,
  version bigint NOT NULL CHECK (version >= 0),
  chain   text   NOT NULL
);
CREATE FUNCTION only_forward() RETURNS trigger LANGUAGE plpgsql AS $$
  BEGIN
    IF NEW.stream <> OLD.stream OR NEW.version < OLD.version THEN
      RAISE EXCEPTION 'streams never shrink';
    END IF;
    RETURN NEW;
  END $$;
CREATE TRIGGER heads_only_rise BEFORE UPDATE ON heads FOR EACH ROW EXECUTE FUNCTION only_forward();
CREATE TRIGGER heads_never_go BEFORE DELETE ON heads
  FOR EACH ROW EXECUTE FUNCTION refuse('streams are never deleted');
CREATE TRIGGER heads_never_emptied BEFORE TRUNCATE ON heads
  FOR EACH STATEMENT EXECUTE FUNCTION refuse('streams are never deleted');

CREATE TABLE events (
  stream  text COLLATE "C" NOT NULL,
  version bigint NOT NULL,
  type    text   NOT NULL,
  data    text   NOT NULL,
  at      bigint NOT NULL,
  chain   text   NOT NULL,
  command text COLLATE "C" NOT NULL,
  PRIMARY KEY (stream, version)
);
CREATE FUNCTION follow() RETURNS trigger LANGUAGE plpgsql AS $$
  BEGIN
    IF NEW.version <> 1 + coalesce((SELECT max(version) FROM events WHERE stream = NEW.stream), 0) THEN
      RAISE EXCEPTION 'events follow one another without a gap';
    END IF;
    RETURN NEW;
  END $$;
CREATE TRIGGER events_follow BEFORE INSERT ON events FOR EACH ROW EXECUTE FUNCTION follow();
${unchanging("events")}

CREATE TABLE commands (
  id     text COLLATE "C" PRIMARY KEY,
  digest text   NOT NULL,
  stream text COLLATE "C" NOT NULL,
  first  bigint NOT NULL,
  last   bigint NOT NULL
);
${unchanging("commands")}

CREATE TABLE rule_sets (
  hash text COLLATE "C" PRIMARY KEY,
  text text   NOT NULL,
  no   bigint GENERATED ALWAYS AS IDENTITY
);
${unchanging("rule_sets")}

CREATE TABLE people (
  id         text COLLATE "C" PRIMARY KEY,
  name       text    NOT NULL,
  short_name text    NOT NULL,
  notes      text    NOT NULL,
  consents   text    NOT NULL,
  erased     boolean NOT NULL,
  no         bigint  GENERATED ALWAYS AS IDENTITY,
  CHECK (NOT erased OR (name = '' AND short_name = '' AND notes = '' AND consents = '[]'))
);
CREATE FUNCTION stay_erased() RETURNS trigger LANGUAGE plpgsql AS $$
  BEGIN
    IF OLD.erased AND NOT NEW.erased THEN RAISE EXCEPTION 'an erased person stays erased'; END IF;
    RETURN NEW;
  END $$;
CREATE TRIGGER people_stay_erased BEFORE UPDATE ON people FOR EACH ROW EXECUTE FUNCTION stay_erased();

CREATE TABLE seats (
  id          text COLLATE "C" PRIMARY KEY,
  kind        text    NOT NULL CHECK (kind IN ('coach', 'table', 'judge', 'fencer', 'wall')),
  secret_hash text    NOT NULL,
  ring        text,
  judge       integer,
  referee     boolean,
  person      text,
  revoked     boolean NOT NULL,
  no          bigint  GENERATED ALWAYS AS IDENTITY
);

CREATE TABLE beside (n bigint NOT NULL);
INSERT INTO beside VALUES (0);
`;

/** Step n brings a schema from version n to n + 1. A step that was ever released is never edited. */
const STEPS: readonly string[] = [FIRST];

/** Makes the schema or lets it grow; processes that start at once wait for the first of them. */
export async function growSchema(client: ClientBase, schema: string, shown: string): Promise<void> {
  await client.query("BEGIN");
  try {
    await client.query("SELECT pg_advisory_xact_lock(hashtext($1))", [`garland ledger ${schema}`]);
    await client.query(`CREATE SCHEMA IF NOT EXISTS ${schema}`);
    await client.query("CREATE TABLE IF NOT EXISTS schema_version (version integer NOT NULL)");
    const found = await client.query<{ version: number }>("SELECT version FROM schema_version");
    const version = found.rows[0]?.version ?? 0;
    if (version > STEPS.length) {
      throw new LedgerCannotOpen(
        "newer",
        `The ledger ${shown} was written by a newer Garland (its schema is ${version}, this one knows ` +
          `${STEPS.length}): start the newer one.`,
      );
    }
    for (const step of STEPS.slice(version)) await client.query(step);
    if (version === 0) await client.query("INSERT INTO schema_version VALUES ($1)", [STEPS.length]);
    else await client.query("UPDATE schema_version SET version = $1", [STEPS.length]);
    await client.query("COMMIT");
  } catch (error) {
    await client.query("ROLLBACK");
    throw error;
  }
}

/** What makes "committed" mean "on disk", as the server answers it; refuses ("unsafe") anything else. */
export async function requireSafeSettings(client: ClientBase, shown: string): Promise<void> {
  const settings = [
    ["fsync", "on"],
    ["full_page_writes", "on"],
    ["synchronous_commit", "on"],
    ["server_encoding", "UTF8"],
    ["transaction_read_only", "off"],
  ] as const;
  for (const [name, wanted] of settings) {
    const { rows } = await client.query<{ found: string }>("SELECT current_setting($1) AS found", [name]);
    const found = rows[0]?.found;
    if (found === wanted) continue;
    throw new LedgerCannotOpen(
      "unsafe",
      `The ledger ${shown} cannot be kept safely there: ${name} is ${found ?? "not set"} instead of ${wanted}. ` +
        "Change the setting of that PostgreSQL, or name another.",
    );
  }
}
