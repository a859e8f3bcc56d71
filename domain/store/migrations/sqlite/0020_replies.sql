-- +goose Up

-- Answers to changes, kept under the key their asker gave, so that a request
-- that comes again is answered again and changes nothing a second time.
CREATE TABLE replies (
    who         TEXT NOT NULL,
    key         TEXT NOT NULL,
    fingerprint TEXT NOT NULL, -- of what the request said
    at          TEXT NOT NULL,
    status      INTEGER NOT NULL,
    header      TEXT NOT NULL,
    body        TEXT NOT NULL,
    PRIMARY KEY (who, key)
);
CREATE INDEX replies_at ON replies (at);
