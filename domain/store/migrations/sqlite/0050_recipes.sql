-- +goose Up

-- What a product is packed from on one pickup day, typed over by a person.
CREATE TABLE recipes (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    product TEXT NOT NULL,
    day     TEXT NOT NULL
);
CREATE INDEX recipes_day ON recipes (day);
