-- The first shape of a Lanewright data file. Format page: docs/formats/records.md.
-- Identifiers are text so that the file can be read with any SQLite tool; it is an export as it stands.

-- "LnWr": the file says whose it is.
PRAGMA application_id = 1282299762;

-- One row per school. `seq` counts the writes that changed something; a push takes this row first, so that
-- records become visible in the order of their numbers and a reader that only moves forward misses none.
CREATE TABLE school (
    id   TEXT    NOT NULL PRIMARY KEY CHECK (length(id) = 36),
    seq  INTEGER NOT NULL CHECK (seq >= 0)
) STRICT;

-- Which school this file was made for. At most one row.
CREATE TABLE home (
    one     INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    school  TEXT    NOT NULL REFERENCES school (id)
) STRICT;

-- The write of each fact that stands.
CREATE TABLE record (
    school   TEXT    NOT NULL REFERENCES school (id),
    kind     TEXT    NOT NULL CHECK (length(kind) BETWEEN 1 AND 40),
    id       TEXT    NOT NULL CHECK (length(id) = 36),
    version  INTEGER NOT NULL CHECK (version BETWEEN 1 AND 4294967295),
    body     TEXT    NOT NULL CHECK (json_valid(body)),
    stamp    TEXT    NOT NULL CHECK (length(stamp) = 57),
    digest   TEXT    NOT NULL CHECK (length(digest) = 64),
    seq      INTEGER NOT NULL CHECK (seq >= 1),
    PRIMARY KEY (school, kind, id)
) STRICT;

CREATE UNIQUE INDEX record_by_seq ON record (school, seq);

-- Links that open a session once. Only the digest of the token is kept.
CREATE TABLE link (
    token_sha256  TEXT    NOT NULL PRIMARY KEY CHECK (length(token_sha256) = 64),
    school        TEXT    NOT NULL REFERENCES school (id),
    role          TEXT    NOT NULL,
    expires_ms    INTEGER NOT NULL
) STRICT;

-- Open sessions, one per device that opened a link. Only the digest of the token is kept.
CREATE TABLE session (
    token_sha256  TEXT    NOT NULL PRIMARY KEY CHECK (length(token_sha256) = 64),
    school        TEXT    NOT NULL REFERENCES school (id),
    role          TEXT    NOT NULL,
    opened_ms     INTEGER NOT NULL,
    expires_ms    INTEGER NOT NULL
) STRICT;

PRAGMA user_version = 1;
