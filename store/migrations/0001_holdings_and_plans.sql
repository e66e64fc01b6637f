-- What a household keeps: every version of its description, and every plan it
-- accepted. Nothing here is ever changed; a correction is a new row.

CREATE TABLE holdings (
    revision   INTEGER PRIMARY KEY AUTOINCREMENT,
    id         TEXT NOT NULL CHECK (length(id) = 32 AND id NOT GLOB '*[^0-9a-f]*'),
    toml       TEXT NOT NULL,
    saved_at   TEXT NOT NULL CHECK (saved_at GLOB '????-??-??T??:??:??*Z')
) STRICT;

CREATE TABLE plans (
    revision         INTEGER PRIMARY KEY AUTOINCREMENT,
    holding_revision INTEGER NOT NULL REFERENCES holdings (revision),
    rates_version    TEXT NOT NULL,
    json             TEXT NOT NULL CHECK (json_valid(json)),
    accepted_at      TEXT NOT NULL CHECK (accepted_at GLOB '????-??-??T??:??:??*Z')
) STRICT;

CREATE TRIGGER holdings_stay_as_written BEFORE UPDATE ON holdings
BEGIN SELECT RAISE(ABORT, 'a saved holding is never changed'); END;

CREATE TRIGGER holdings_are_kept BEFORE DELETE ON holdings
BEGIN SELECT RAISE(ABORT, 'a saved holding is never deleted'); END;

CREATE TRIGGER plans_stay_as_written BEFORE UPDATE ON plans
BEGIN SELECT RAISE(ABORT, 'an accepted plan is never changed'); END;

CREATE TRIGGER plans_are_kept BEFORE DELETE ON plans
BEGIN SELECT RAISE(ABORT, 'an accepted plan is never deleted'); END;
