-- +goose Up

-- What a product is packed from on one pickup day, typed over by a person.
CREATE TABLE recipes (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    product TEXT COLLATE "C" NOT NULL,
    day     TEXT COLLATE "C" NOT NULL
);
CREATE INDEX recipes_day ON recipes (day);
