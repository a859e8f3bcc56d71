-- +goose Up

-- How the farm sows and grows: one row.
CREATE TABLE growing (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL
);
CREATE TABLE profiles (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    variety TEXT NOT NULL
);
CREATE TABLE beds (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    name TEXT NOT NULL
);
CREATE TABLE surges (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE INDEX surges_day ON surges (day);

-- What happened to batches. A wrong event is corrected by another, so nothing
-- here is ever changed or deleted.
CREATE TABLE batch_events (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    batch TEXT NOT NULL,
    day   TEXT NOT NULL,
    lift  TEXT NOT NULL DEFAULT ''
);
CREATE INDEX batch_events_batch ON batch_events (batch);
CREATE INDEX batch_events_rev ON batch_events (rev);
CREATE INDEX batch_events_lift ON batch_events (lift);
-- +goose StatementBegin
CREATE TRIGGER batch_events_keep BEFORE UPDATE ON batch_events BEGIN SELECT RAISE(ABORT, 'batch events are never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER batch_events_stay BEFORE DELETE ON batch_events BEGIN SELECT RAISE(ABORT, 'batch events are never deleted'); END;
-- +goose StatementEnd
