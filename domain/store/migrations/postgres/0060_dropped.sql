-- +goose Up

-- Files of sheets that a person has dropped and not yet decided about. They are
-- let go of after some days, and the oldest where they are too many.
CREATE TABLE dropped (
    id    TEXT COLLATE "C" PRIMARY KEY,
    name  TEXT COLLATE "C" NOT NULL,
    at    TEXT COLLATE "C" NOT NULL,
    bytes BYTEA NOT NULL
);
CREATE INDEX dropped_at ON dropped (at);
