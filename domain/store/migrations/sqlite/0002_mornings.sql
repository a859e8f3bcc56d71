-- +goose Up

-- What was done in the house, each an event that is never changed.
CREATE TABLE issues (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE INDEX issues_day ON issues (day);
CREATE TABLE lifts (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE INDEX lifts_day ON lifts (day);
CREATE TABLE packings (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE INDEX packings_day ON packings (day);
CREATE TABLE departures (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE INDEX departures_day ON departures (day);
CREATE TABLE returns (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE INDEX returns_day ON returns (day);
-- A carrier's pickup that was closed at its cut-off.
CREATE TABLE closings (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);

-- Papers as they were printed: the document they were made from and the bytes.
CREATE TABLE prints (
    seq    INTEGER PRIMARY KEY AUTOINCREMENT,
    issue  TEXT NOT NULL REFERENCES issues (code),
    name   TEXT NOT NULL,
    at     TEXT NOT NULL,
    bytes  BLOB NOT NULL,
    UNIQUE (issue, name)
);
-- +goose StatementBegin
CREATE TRIGGER prints_keep BEFORE UPDATE ON prints BEGIN SELECT RAISE(ABORT, 'prints are never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER prints_stay BEFORE DELETE ON prints BEGIN SELECT RAISE(ABORT, 'prints are never deleted'); END;
-- +goose StatementEnd
