-- +goose Up

-- Answers to changes, kept under the key their asker gave, so that a request
-- that comes again is answered again and changes nothing a second time.
CREATE TABLE replies (
    who         TEXT COLLATE "C" NOT NULL,
    key         TEXT COLLATE "C" NOT NULL,
    fingerprint TEXT COLLATE "C" NOT NULL, -- of what the request said
    at          TEXT COLLATE "C" NOT NULL,
    status      INTEGER NOT NULL,
    header      TEXT COLLATE "C" NOT NULL,
    body        TEXT COLLATE "C" NOT NULL,
    PRIMARY KEY (who, key)
);
CREATE INDEX replies_at ON replies (at);
