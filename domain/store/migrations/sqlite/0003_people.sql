-- +goose Up

CREATE TABLE people (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    name TEXT NOT NULL
);
-- What a password was made into; never in a history, never handed out.
CREATE TABLE passwords (
    person TEXT PRIMARY KEY REFERENCES people (code),
    hash   TEXT NOT NULL
);
-- What lets somebody in: a hash of the secret, and the pass's own document.
CREATE TABLE passes (
    id     TEXT PRIMARY KEY,
    secret TEXT NOT NULL UNIQUE,
    person TEXT NOT NULL DEFAULT '',
    kind   TEXT NOT NULL,
    body   TEXT NOT NULL
);
CREATE INDEX passes_person ON passes (person);
-- Who came in, who was turned away: added to, never changed.
CREATE TABLE doorlog (
    seq    INTEGER PRIMARY KEY AUTOINCREMENT,
    at     TEXT NOT NULL,
    who    TEXT NOT NULL,
    origin TEXT NOT NULL,
    what   TEXT NOT NULL
);
-- +goose StatementBegin
CREATE TRIGGER doorlog_keeps BEFORE UPDATE ON doorlog BEGIN SELECT RAISE(ABORT, 'the door log is never changed'); END;
-- +goose StatementEnd
