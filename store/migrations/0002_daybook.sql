-- The daybook: what the household wrote down, with its photos. Like everything
-- in this file, a row is only ever added.

-- sequence counts the records in the order in which they arrived, without a
-- gap. seal is the SHA-256 of the whole row, so that one turned bit is noticed.
CREATE TABLE events (
    sequence    INTEGER PRIMARY KEY AUTOINCREMENT,
    id          BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    kind        TEXT NOT NULL CHECK (kind <> ''),
    version     INTEGER NOT NULL CHECK (version >= 1),
    happened_on TEXT NOT NULL CHECK (happened_on GLOB '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    recorded_at TEXT NOT NULL CHECK (recorded_at GLOB '????-??-??T??:??:??*Z'),
    device      BLOB NOT NULL CHECK (length(device) = 16),
    author      TEXT NOT NULL,
    payload     TEXT NOT NULL CHECK (json_valid(payload)),
    received_at TEXT NOT NULL CHECK (received_at GLOB '????-??-??T??:??:??*Z'),
    seal        BLOB NOT NULL CHECK (length(seal) = 32)
) STRICT;

CREATE INDEX events_by_day ON events (happened_on, recorded_at, id);

-- Which records a record corrects or withdraws, in its own order. The record
-- that is meant may still be on another phone, so it need not be here yet.
CREATE TABLE supersedes (
    sequence   INTEGER NOT NULL REFERENCES events (sequence),
    position   INTEGER NOT NULL CHECK (position >= 1),
    superseded BLOB NOT NULL CHECK (length(superseded) = 16),
    PRIMARY KEY (sequence, position)
) STRICT, WITHOUT ROWID;

CREATE INDEX supersedes_by_record ON supersedes (superseded);

-- Records that came with the identifier of another record and another content.
-- They do not count, and they are not lost either. last_sequence is the newest
-- record when it came; superseded lists identifiers in hexadecimal digits;
-- content is the SHA-256 of what the record says, by which the same one sent
-- again is known.
CREATE TABLE conflicts (
    number        INTEGER PRIMARY KEY AUTOINCREMENT,
    id            BLOB NOT NULL REFERENCES events (id),
    last_sequence INTEGER NOT NULL,
    kind          TEXT NOT NULL,
    version       INTEGER NOT NULL,
    happened_on   TEXT NOT NULL,
    recorded_at   TEXT NOT NULL,
    device        BLOB NOT NULL,
    author        TEXT NOT NULL,
    superseded    TEXT NOT NULL,
    payload       TEXT NOT NULL CHECK (json_valid(payload)),
    received_at   TEXT NOT NULL CHECK (received_at GLOB '????-??-??T??:??:??*Z'),
    content       BLOB NOT NULL UNIQUE CHECK (length(content) = 32),
    seal          BLOB NOT NULL CHECK (length(seal) = 32)
) STRICT;

CREATE INDEX conflicts_by_record ON conflicts (id);

CREATE TABLE photos (
    number      INTEGER PRIMARY KEY AUTOINCREMENT,
    sha256      BLOB NOT NULL UNIQUE CHECK (length(sha256) = 32),
    type        TEXT NOT NULL CHECK (type IN ('image/jpeg', 'image/png', 'image/webp', 'image/heic')),
    received_at TEXT NOT NULL CHECK (received_at GLOB '????-??-??T??:??:??*Z'),
    seal        BLOB NOT NULL CHECK (length(seal) = 32),
    bytes       BLOB NOT NULL
) STRICT;

-- SHA-256 of the rows whose table has no room for one, and of the shape of this
-- file: subject is holding, plan or shape, revision that of the row or the
-- number of the step.
CREATE TABLE seals (
    subject  TEXT NOT NULL CHECK (subject IN ('holding', 'plan', 'shape')),
    revision INTEGER NOT NULL,
    seal     BLOB NOT NULL CHECK (length(seal) = 32),
    PRIMARY KEY (subject, revision)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER events_stay_as_written BEFORE UPDATE ON events
BEGIN SELECT RAISE(ABORT, 'a record is never changed'); END;
CREATE TRIGGER events_are_kept BEFORE DELETE ON events
BEGIN SELECT RAISE(ABORT, 'a record is never deleted'); END;
CREATE TRIGGER supersedes_stay_as_written BEFORE UPDATE ON supersedes
BEGIN SELECT RAISE(ABORT, 'a record is never changed'); END;
CREATE TRIGGER supersedes_are_kept BEFORE DELETE ON supersedes
BEGIN SELECT RAISE(ABORT, 'a record is never deleted'); END;
CREATE TRIGGER conflicts_stay_as_written BEFORE UPDATE ON conflicts
BEGIN SELECT RAISE(ABORT, 'a record that conflicts is never changed'); END;
CREATE TRIGGER conflicts_are_kept BEFORE DELETE ON conflicts
BEGIN SELECT RAISE(ABORT, 'a record that conflicts is never deleted'); END;
CREATE TRIGGER photos_stay_as_written BEFORE UPDATE ON photos
BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END;
CREATE TRIGGER photos_are_kept BEFORE DELETE ON photos
BEGIN SELECT RAISE(ABORT, 'a photo is never deleted'); END;
CREATE TRIGGER seals_stay_as_written BEFORE UPDATE ON seals
BEGIN SELECT RAISE(ABORT, 'a seal is never changed'); END;
CREATE TRIGGER seals_are_kept BEFORE DELETE ON seals
BEGIN SELECT RAISE(ABORT, 'a seal is never deleted'); END;

-- INSERT OR REPLACE deletes the row in its way without asking the triggers
-- above, so a row in the way is refused before it comes to that.
CREATE TRIGGER holdings_are_not_replaced BEFORE INSERT ON holdings
WHEN EXISTS (SELECT 1 FROM holdings WHERE revision = NEW.revision)
BEGIN SELECT RAISE(ABORT, 'a saved holding is never replaced'); END;
CREATE TRIGGER plans_are_not_replaced BEFORE INSERT ON plans
WHEN EXISTS (SELECT 1 FROM plans WHERE revision = NEW.revision)
BEGIN SELECT RAISE(ABORT, 'an accepted plan is never replaced'); END;
CREATE TRIGGER events_are_not_replaced BEFORE INSERT ON events
WHEN EXISTS (SELECT 1 FROM events WHERE id = NEW.id OR sequence = NEW.sequence)
BEGIN SELECT RAISE(ABORT, 'a record is never replaced'); END;
CREATE TRIGGER supersedes_are_not_replaced BEFORE INSERT ON supersedes
WHEN EXISTS (SELECT 1 FROM supersedes WHERE sequence = NEW.sequence AND position = NEW.position)
BEGIN SELECT RAISE(ABORT, 'a record is never replaced'); END;
CREATE TRIGGER conflicts_are_not_replaced BEFORE INSERT ON conflicts
WHEN EXISTS (SELECT 1 FROM conflicts WHERE content = NEW.content OR number = NEW.number)
BEGIN SELECT RAISE(ABORT, 'a record that conflicts is never replaced'); END;
CREATE TRIGGER photos_are_not_replaced BEFORE INSERT ON photos
WHEN EXISTS (SELECT 1 FROM photos WHERE sha256 = NEW.sha256 OR number = NEW.number)
BEGIN SELECT RAISE(ABORT, 'a photo is never replaced'); END;
CREATE TRIGGER seals_are_not_replaced BEFORE INSERT ON seals
WHEN EXISTS (SELECT 1 FROM seals WHERE subject = NEW.subject AND revision = NEW.revision)
BEGIN SELECT RAISE(ABORT, 'a seal is never replaced'); END;
