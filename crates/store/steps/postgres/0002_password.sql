-- A school may have a password with which a coach comes in on a new device. No row: there is none.
-- `hash`: the Argon2 text with its parameters and salt, never the password. `set_ms`: when a coach set it.
CREATE TABLE lanewright.password (
    school  TEXT   COLLATE "C" NOT NULL PRIMARY KEY REFERENCES lanewright.school (school),
    hash    TEXT   COLLATE "C" NOT NULL CHECK (length(hash) BETWEEN 1 AND 512),
    set_ms  BIGINT NOT NULL
);

-- The planner's statistics would keep copies of it.
ALTER TABLE lanewright.password ALTER COLUMN hash SET STATISTICS 0;

ALTER TABLE lanewright.password ENABLE ROW LEVEL SECURITY;
ALTER TABLE lanewright.password FORCE ROW LEVEL SECURITY;
CREATE POLICY of_the_school ON lanewright.password
    USING (school = current_setting('lanewright.school', true))
    WITH CHECK (school = current_setting('lanewright.school', true));

UPDATE lanewright.about SET format = 2;
