-- The first shape of a Lanewright database. Everything stands in a schema of its own; format page: docs/formats/records.md.
-- Identifiers are text as in the SQLite file, so that any tool can read them; "C" sorts by bytes, whatever the database
-- was made with.

CREATE SCHEMA lanewright;

-- One row: whose database this is, its format, and the school for which it was made.
CREATE TABLE lanewright.about (
    one      INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    program  TEXT    NOT NULL CHECK (program = 'Lanewright'),
    format   BIGINT  NOT NULL,
    home     TEXT    COLLATE "C" CHECK (length(home) = 36)
);

-- Which schools there are: their names and nothing else. The only rows that are read without saying for whom.
CREATE TABLE lanewright.directory (
    id  TEXT COLLATE "C" NOT NULL PRIMARY KEY CHECK (length(id) = 36)
);

-- One row per school. `seq` counts the writes that changed something; a push locks this row first, so that records
-- become visible in the order of their numbers and a reader that only moves forward misses none. `erased` counts the
-- pushes that erased something, `scrubbed` up to which of them the bytes were taken out of the tables' files.
CREATE TABLE lanewright.school (
    school    TEXT   COLLATE "C" NOT NULL PRIMARY KEY REFERENCES lanewright.directory (id),
    seq       BIGINT NOT NULL CHECK (seq >= 0),
    erased    BIGINT NOT NULL DEFAULT 0,
    scrubbed  BIGINT NOT NULL DEFAULT 0
);

-- The write of each fact that stands. Schools are spread over 16 parts: after an erasure only the part of that school
-- is written anew. (The number is an engineering assumption and cannot be changed later without moving all rows.)
CREATE TABLE lanewright.record (
    school   TEXT   COLLATE "C" NOT NULL REFERENCES lanewright.school (school),
    kind     TEXT   COLLATE "C" NOT NULL CHECK (length(kind) BETWEEN 1 AND 40),
    id       TEXT   COLLATE "C" NOT NULL CHECK (length(id) = 36),
    version  BIGINT NOT NULL CHECK (version BETWEEN 1 AND 4294967295),
    body     TEXT   COLLATE "C" NOT NULL CHECK (body::json IS NOT NULL),
    stamp    TEXT   COLLATE "C" NOT NULL CHECK (length(stamp) = 57),
    digest   TEXT   COLLATE "C" NOT NULL CHECK (length(digest) = 64),
    seq      BIGINT NOT NULL CHECK (seq >= 1),
    PRIMARY KEY (school, kind, id)
) PARTITION BY HASH (school);

CREATE UNIQUE INDEX record_by_seq ON lanewright.record (school, seq);

-- Links that open a session once. Only the digest of the token is kept.
CREATE TABLE lanewright.link (
    token_sha256  TEXT   COLLATE "C" NOT NULL PRIMARY KEY CHECK (length(token_sha256) = 64),
    school        TEXT   COLLATE "C" NOT NULL REFERENCES lanewright.school (school),
    role          TEXT   NOT NULL,
    lanes         TEXT,
    label         TEXT,
    expires_ms    BIGINT NOT NULL
);

CREATE INDEX link_of_school ON lanewright.link (school);

-- Open sessions, one per device that opened a link. Only the digest of the token is kept.
CREATE TABLE lanewright.session (
    token_sha256  TEXT   COLLATE "C" NOT NULL PRIMARY KEY CHECK (length(token_sha256) = 64),
    school        TEXT   COLLATE "C" NOT NULL REFERENCES lanewright.school (school),
    role          TEXT   NOT NULL,
    lanes         TEXT,
    label         TEXT,
    number        BIGINT NOT NULL CHECK (number >= 1),
    opened_ms     BIGINT NOT NULL,
    expires_ms    BIGINT NOT NULL,
    seen_day      BIGINT NOT NULL CHECK (seen_day >= 0)
);

CREATE INDEX session_of_school ON lanewright.session (school);

-- One row per school and opening: each start of the database server, each database that was put back. `name` is made
-- from what tells them apart; `from_seq` is the school's number of changes at that moment.
CREATE TABLE lanewright.opening (
    school    TEXT   COLLATE "C" NOT NULL REFERENCES lanewright.school (school),
    number    BIGINT NOT NULL CHECK (number >= 1),
    name      TEXT   COLLATE "C" NOT NULL CHECK (length(name) = 36),
    from_seq  BIGINT NOT NULL CHECK (from_seq >= 0),
    PRIMARY KEY (school, number)
);

CREATE UNIQUE INDEX opening_by_name ON lanewright.opening (school, name);

DO $$
DECLARE
    part  INTEGER;
    name  REGCLASS;
BEGIN
    FOR part IN 0..15 LOOP
        EXECUTE format('CREATE TABLE lanewright.record_%s PARTITION OF lanewright.record
                        FOR VALUES WITH (MODULUS 16, REMAINDER %s)', part, part);
        -- The planner's statistics would keep samples of what children's records say.
        EXECUTE format('ALTER TABLE lanewright.record_%s ALTER COLUMN body SET STATISTICS 0', part);
    END LOOP;

    -- Whose rows are seen and written is said once per transaction; who has not said it sees and writes none. FORCE:
    -- the rule holds for the owner of the tables too, as whom the program works.
    FOR name IN
        SELECT attrelid FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid
        WHERE relnamespace = 'lanewright'::regnamespace AND relkind IN ('r', 'p') AND attname = 'school'
    LOOP
        EXECUTE format('ALTER TABLE %s ENABLE ROW LEVEL SECURITY', name);
        EXECUTE format('ALTER TABLE %s FORCE ROW LEVEL SECURITY', name);
        EXECUTE format('CREATE POLICY of_the_school ON %s
                        USING (school = current_setting(''lanewright.school'', true))
                        WITH CHECK (school = current_setting(''lanewright.school'', true))', name);
    END LOOP;
END
$$;

ALTER TABLE lanewright.record ALTER COLUMN body SET STATISTICS 0;
ALTER TABLE lanewright.link ALTER COLUMN label SET STATISTICS 0;
ALTER TABLE lanewright.session ALTER COLUMN label SET STATISTICS 0;

-- A request brings a token and does not say whose it is: whoever knows the digest of a token sees the one row with it,
-- and changes nothing by that.
CREATE POLICY of_the_token ON lanewright.link FOR SELECT
    USING (token_sha256 = current_setting('lanewright.token', true));
CREATE POLICY of_the_token ON lanewright.session FOR SELECT
    USING (token_sha256 = current_setting('lanewright.token', true));

INSERT INTO lanewright.about (one, program, format) VALUES (1, 'Lanewright', 1);
