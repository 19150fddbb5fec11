-- Links and sessions say who they are for; the file remembers each time it was opened.

-- `lanes`: lane letters joined by commas; NULL is every lane. `label`: what the coach called the device.
ALTER TABLE link ADD COLUMN lanes TEXT;
ALTER TABLE link ADD COLUMN label TEXT;

-- `number`: the how-manieth device of the school. `seen_day`: last day it asked for anything, counted from 1970; no
-- address is kept.
ALTER TABLE session ADD COLUMN lanes TEXT;
ALTER TABLE session ADD COLUMN label TEXT;
ALTER TABLE session ADD COLUMN number INTEGER NOT NULL DEFAULT 1 CHECK (number >= 1);
ALTER TABLE session ADD COLUMN seen_day INTEGER NOT NULL DEFAULT 0 CHECK (seen_day >= 0);

-- One row per school and opening of the file. `name` is random. `from_seq` is the school's number of changes at that
-- moment: what an earlier opening numbered beyond it is not in this file. That is how a device notices that the file
-- was put back from a copy.
CREATE TABLE opening (
    school    TEXT    NOT NULL REFERENCES school (id),
    number    INTEGER NOT NULL CHECK (number >= 1),
    name      TEXT    NOT NULL CHECK (length(name) = 36),
    from_seq  INTEGER NOT NULL CHECK (from_seq >= 0),
    PRIMARY KEY (school, number)
) STRICT;

CREATE UNIQUE INDEX opening_by_name ON opening (school, name);

PRAGMA user_version = 2;
