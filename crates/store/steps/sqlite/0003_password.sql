-- A school may have a password with which a coach comes in on a new device. No row: there is none.
-- `hash`: the Argon2 text with its parameters and salt, never the password. `set_ms`: when a coach set it.
CREATE TABLE password (
    school  TEXT    NOT NULL PRIMARY KEY REFERENCES school (id),
    hash    TEXT    NOT NULL CHECK (length(hash) BETWEEN 1 AND 512),
    set_ms  INTEGER NOT NULL
) STRICT;

PRAGMA user_version = 3;
