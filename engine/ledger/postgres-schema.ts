/** The tables of a PostgreSQL ledger, in a schema of their own; postgres-open.ts makes them, and lets an older one grow. */

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
) WITH (fillfactor = 50);
CREATE FUNCTION only_forward() RETURNS trigger LANGUAGE plpgsql AS $$
  BEGIN
    IF NEW.stream <> OLD.stream OR NEW.version < OLD.version
      OR (NEW.version = OLD.version AND NEW.chain <> OLD.chain)
    THEN
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
  version bigint NOT NULL CHECK (version >= 1),
  type    text   NOT NULL,
  data    text   NOT NULL,
  at      bigint NOT NULL,
  chain   text   NOT NULL,
  command text COLLATE "C" NOT NULL,
  PRIMARY KEY (stream, version)
);
CREATE FUNCTION follow() RETURNS trigger LANGUAGE plpgsql AS $$
  BEGIN
    IF NEW.version <> 1 + coalesce((SELECT max(version) FROM SCHEMA.events WHERE stream = NEW.stream), 0) THEN
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
CREATE TRIGGER people_never_go BEFORE DELETE ON people
  FOR EACH ROW EXECUTE FUNCTION refuse('people are emptied, never deleted');
CREATE TRIGGER people_never_emptied BEFORE TRUNCATE ON people
  FOR EACH STATEMENT EXECUTE FUNCTION refuse('people are emptied, never deleted');

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
CREATE UNIQUE INDEX beside_once ON beside ((true));
INSERT INTO beside VALUES (0);
`;

/** Where the schema's own version stands; made with the schema itself. */
export const VERSION_TABLE = "schema_version";

/** Step n brings a schema from version n to n + 1. A step that was ever released is never edited. */
export const POSTGRES_STEPS: readonly string[] = [FIRST];

/** A step's statements for the schema of that (quoted) name; functions run whatever the search path is. */
export const stepFor = (step: string, schema: string): string =>
  step.replaceAll("SCHEMA.", () => `${schema}.`);

/** The tables and triggers without which a schema of these steps is no sound ledger. */
export const postgresPartsOf = (steps: readonly string[]): readonly string[] =>
  Array.from(steps.join("").matchAll(/^CREATE (?:TABLE|TRIGGER) (\w+)/gm), (match) => match[1] ?? "");
