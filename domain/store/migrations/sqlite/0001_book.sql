-- +goose Up

-- The book's one revision row: every change takes it, and adds one.
CREATE TABLE book (
    id       INTEGER PRIMARY KEY CHECK (id = 1),
    revision BIGINT NOT NULL
);
INSERT INTO book (id, revision) VALUES (1, 0);

-- Records. body is the record's own document; a column beside it is there to be
-- searched by or to refer to another record. rev is the revision that last
-- changed the record; ended records stay, since older ones still name them.
CREATE TABLE farm (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL
);
CREATE TABLE varieties (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    name TEXT NOT NULL
);
CREATE TABLE products (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    name TEXT NOT NULL
);
CREATE TABLE carriers (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    name TEXT NOT NULL
);
CREATE TABLE customers (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    name    TEXT NOT NULL,
    carrier TEXT NOT NULL REFERENCES carriers (code)
);
CREATE TABLE exceptions (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE TABLE standing (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    customer TEXT NOT NULL REFERENCES customers (code),
    product  TEXT NOT NULL REFERENCES products (code)
);
CREATE INDEX standing_customer ON standing (customer);
CREATE TABLE orders (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    customer  TEXT NOT NULL REFERENCES customers (code),
    pickup    TEXT NOT NULL,
    reference TEXT NOT NULL DEFAULT ''
);
CREATE INDEX orders_pickup ON orders (pickup);
CREATE INDEX orders_customer ON orders (customer, pickup);
CREATE TABLE decisions (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE INDEX decisions_day ON decisions (day);
CREATE TABLE counts (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);
CREATE INDEX counts_day ON counts (day);
-- An order sheet that was taken, by the fingerprint of what it says.
CREATE TABLE sheets (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL
);
-- A row of a sheet that could not be read and waits for a person.
CREATE TABLE parked (
    code TEXT PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT NOT NULL,
    day TEXT NOT NULL
);

-- Who changed what, when and why, with what was before and after.
CREATE TABLE history (
    seq      INTEGER PRIMARY KEY AUTOINCREMENT,
    revision BIGINT NOT NULL,
    at       TEXT NOT NULL,
    who      TEXT NOT NULL,
    why      TEXT NOT NULL,
    kind     TEXT NOT NULL,
    code     TEXT NOT NULL,
    before   TEXT NOT NULL,
    after    TEXT NOT NULL
);
CREATE INDEX history_record ON history (kind, code, seq);

-- +goose StatementBegin
CREATE TRIGGER history_keeps BEFORE UPDATE ON history BEGIN SELECT RAISE(ABORT, 'history is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER history_stays BEFORE DELETE ON history BEGIN SELECT RAISE(ABORT, 'history is never deleted'); END;
-- +goose StatementEnd
