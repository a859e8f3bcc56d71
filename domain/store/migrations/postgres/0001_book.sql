-- +goose Up

-- As the steps for SQLite beside them: the same tables and columns under the
-- same numbers. Text is compared by its bytes, whatever the database's own order
-- is; references can wait for the end of a transaction, so that a copy may be put
-- back in any order.

-- +goose StatementBegin
CREATE FUNCTION never_changed() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'what stands in % is never changed', TG_TABLE_NAME;
END $$;
-- +goose StatementEnd
-- Numbers without a gap: whoever writes holds the book's revision row, so no two
-- count at once, and a sequence would keep the numbers of what was taken back.
-- +goose StatementBegin
CREATE FUNCTION next_seq() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.seq IS NULL THEN
        EXECUTE format('SELECT coalesce(max(seq), 0) + 1 FROM %I.%I', TG_TABLE_SCHEMA, TG_TABLE_NAME) INTO NEW.seq;
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd

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
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL
);
CREATE TABLE varieties (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    name TEXT COLLATE "C" NOT NULL
);
CREATE TABLE products (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    name TEXT COLLATE "C" NOT NULL
);
CREATE TABLE carriers (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    name TEXT COLLATE "C" NOT NULL
);
CREATE TABLE customers (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    name    TEXT COLLATE "C" NOT NULL,
    carrier TEXT COLLATE "C" NOT NULL REFERENCES carriers (code) DEFERRABLE
);
CREATE TABLE exceptions (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE TABLE standing (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    customer TEXT COLLATE "C" NOT NULL REFERENCES customers (code) DEFERRABLE,
    product  TEXT COLLATE "C" NOT NULL REFERENCES products (code) DEFERRABLE
);
CREATE INDEX standing_customer ON standing (customer);
CREATE TABLE orders (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    customer  TEXT COLLATE "C" NOT NULL REFERENCES customers (code) DEFERRABLE,
    pickup    TEXT COLLATE "C" NOT NULL,
    reference TEXT COLLATE "C" NOT NULL DEFAULT ''
);
CREATE INDEX orders_pickup ON orders (pickup);
CREATE INDEX orders_customer ON orders (customer, pickup);
CREATE TABLE decisions (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX decisions_day ON decisions (day);
CREATE TABLE counts (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX counts_day ON counts (day);
-- An order sheet that was taken, by the fingerprint of what it says.
CREATE TABLE sheets (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL
);
-- A row of a sheet that could not be read and waits for a person.
CREATE TABLE parked (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);

-- Who changed what, when and why, with what was before and after.
CREATE TABLE history (
    seq      BIGINT PRIMARY KEY,
    revision BIGINT NOT NULL,
    at       TEXT COLLATE "C" NOT NULL,
    who      TEXT COLLATE "C" NOT NULL,
    why      TEXT COLLATE "C" NOT NULL,
    kind     TEXT COLLATE "C" NOT NULL,
    code     TEXT COLLATE "C" NOT NULL,
    before   TEXT COLLATE "C" NOT NULL,
    after    TEXT COLLATE "C" NOT NULL
);
CREATE INDEX history_record ON history (kind, code, seq);

CREATE TRIGGER history_keeps BEFORE UPDATE OR DELETE ON history FOR EACH ROW EXECUTE FUNCTION never_changed();
CREATE TRIGGER history_stays BEFORE TRUNCATE ON history EXECUTE FUNCTION never_changed();
CREATE TRIGGER history_seq BEFORE INSERT ON history FOR EACH ROW EXECUTE FUNCTION next_seq();
