-- +goose Up

-- How senders write their order sheets.
CREATE TABLE layouts (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    name TEXT COLLATE "C" NOT NULL
);
