-- +goose Up

-- Files of sheets that a person has dropped and not yet decided about. They are
-- let go of after some days, and the oldest where they are too many.
CREATE TABLE dropped (
    id    TEXT PRIMARY KEY,
    name  TEXT NOT NULL,
    at    TEXT NOT NULL,
    bytes BLOB NOT NULL
);
CREATE INDEX dropped_at ON dropped (at);
