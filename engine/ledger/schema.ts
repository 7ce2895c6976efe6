/** The tables of a SQLite ledger, and how an older file grows into the newest. */

/** "Garl" in ASCII, in the header of every file of ours (PRAGMA application_id). */
export const APPLICATION_ID = 0x4761726c;

/** The ledger's name inside its data folder. */
export const LEDGER_FILE = "ledger.sqlite";

/** What never changes may not change by any hand: SQLite itself refuses UPDATE and DELETE. */
const unchanging = (table: string): string => `
CREATE TRIGGER ${table}_never_change BEFORE UPDATE ON ${table}
  BEGIN SELECT RAISE(ABORT, '${table} are never changed'); END;
CREATE TRIGGER ${table}_never_go BEFORE DELETE ON ${table}
  BEGIN SELECT RAISE(ABORT, '${table} are never deleted'); END;`;

/**
 * REPLACE deletes without telling the delete triggers, hence a guard before each insert as well.
 * That of the events also refuses a gap.
 */
const FIRST = `
CREATE TABLE events (
  stream  TEXT    NOT NULL,
  version INTEGER NOT NULL,
  type    TEXT    NOT NULL,
  data    TEXT    NOT NULL,
  at      INTEGER NOT NULL,
  chain   TEXT    NOT NULL,
  command TEXT    NOT NULL,
  PRIMARY KEY (stream, version)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER events_follow BEFORE INSERT ON events
  WHEN NEW.version <> 1 + coalesce((SELECT max(version) FROM events WHERE stream = NEW.stream), 0)
  BEGIN SELECT RAISE(ABORT, 'events follow one another without a gap'); END;
${unchanging("events")}

CREATE TABLE commands (
  id     TEXT    PRIMARY KEY,
  digest TEXT    NOT NULL,
  stream TEXT    NOT NULL,
  first  INTEGER NOT NULL,
  last   INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TRIGGER commands_once BEFORE INSERT ON commands
  WHEN EXISTS (SELECT 1 FROM commands WHERE id = NEW.id)
  BEGIN SELECT RAISE(ABORT, 'commands are never replaced'); END;
${unchanging("commands")}

CREATE TABLE rule_sets (
  hash TEXT NOT NULL PRIMARY KEY,
  text TEXT NOT NULL
) STRICT;
CREATE TRIGGER rule_sets_once BEFORE INSERT ON rule_sets
  WHEN EXISTS (SELECT 1 FROM rule_sets WHERE hash = NEW.hash)
  BEGIN SELECT RAISE(ABORT, 'rule sets are never replaced'); END;
${unchanging("rule_sets")}

CREATE TABLE people (
  id         TEXT    NOT NULL PRIMARY KEY,
  name       TEXT    NOT NULL,
  short_name TEXT    NOT NULL,
  notes      TEXT    NOT NULL,
  consents   TEXT    NOT NULL,
  erased     INTEGER NOT NULL CHECK (erased IN (0, 1)),
  CHECK (erased = 0 OR (name = '' AND short_name = '' AND notes = '' AND consents = '[]'))
) STRICT;
CREATE TRIGGER people_stay_erased BEFORE UPDATE ON people WHEN OLD.erased = 1 AND NEW.erased = 0
  BEGIN SELECT RAISE(ABORT, 'an erased person stays erased'); END;

CREATE TABLE seats (
  id          TEXT    NOT NULL PRIMARY KEY,
  kind        TEXT    NOT NULL CHECK (kind IN ('coach', 'table', 'judge', 'fencer', 'wall')),
  secret_hash TEXT    NOT NULL,
  ring        TEXT,
  judge       INTEGER,
  referee     INTEGER CHECK (referee IN (0, 1)),
  person      TEXT,
  revoked     INTEGER NOT NULL CHECK (revoked IN (0, 1))
) STRICT;
`;

/**
 * What was there is noted, because no chain shows that its end was cut off and no chain covers what may change: where each
 * stream stood, at every backup and every check; and the SHA-256 of each person, seat and rule set as it was written last.
 */
const SECOND = `
CREATE TABLE heads (
  stream  TEXT    NOT NULL,
  version INTEGER NOT NULL,
  chain   TEXT    NOT NULL,
  at      INTEGER NOT NULL,
  PRIMARY KEY (stream, version)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER heads_once BEFORE INSERT ON heads
  WHEN EXISTS (SELECT 1 FROM heads WHERE stream = NEW.stream AND version = NEW.version)
  BEGIN SELECT RAISE(ABORT, 'heads are never replaced'); END;
${unchanging("heads")}

CREATE TABLE digests (
  kind   TEXT NOT NULL CHECK (kind IN ('person', 'seat', 'rule set')),
  id     TEXT NOT NULL,
  digest TEXT NOT NULL,
  PRIMARY KEY (kind, id)
) STRICT, WITHOUT ROWID;
`;

/** Step n brings a file from schema version n to n + 1. A step that was ever released is never edited. */
export const STEPS: readonly string[] = [FIRST, SECOND];

export const SCHEMA_VERSION = STEPS.length;

/** The tables and triggers without which a file of these steps is no sound ledger. */
export const partsOf = (steps: readonly string[]): readonly string[] =>
  Array.from(steps.join("").matchAll(/^CREATE (?:TABLE|TRIGGER) (\w+)/gm), (match) => match[1] ?? "");
