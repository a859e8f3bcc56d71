-- +goose Up

-- How senders write their order sheets.
CREATE TABLE layouts (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    name TEXT NOT NULL
);
