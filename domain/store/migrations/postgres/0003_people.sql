-- +goose Up

CREATE TABLE people (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    name TEXT COLLATE "C" NOT NULL
);
-- What a password was made into; never in a history, never handed out.
CREATE TABLE passwords (
    person TEXT COLLATE "C" PRIMARY KEY REFERENCES people (code) DEFERRABLE,
    hash   TEXT COLLATE "C" NOT NULL
);
-- What lets somebody in: a hash of the secret, and the pass's own document.
CREATE TABLE passes (
    id     TEXT COLLATE "C" PRIMARY KEY,
    secret TEXT COLLATE "C" NOT NULL UNIQUE,
    person TEXT COLLATE "C" NOT NULL DEFAULT '',
    kind   TEXT COLLATE "C" NOT NULL,
    body   TEXT COLLATE "C" NOT NULL
);
CREATE INDEX passes_person ON passes (person);
-- Who came in, who was turned away: added to, never changed.
CREATE TABLE doorlog (
    seq    BIGINT PRIMARY KEY,
    at     TEXT COLLATE "C" NOT NULL,
    who    TEXT COLLATE "C" NOT NULL,
    origin TEXT COLLATE "C" NOT NULL,
    what   TEXT COLLATE "C" NOT NULL
);
CREATE TRIGGER doorlog_keeps BEFORE UPDATE ON doorlog FOR EACH ROW EXECUTE FUNCTION never_changed();
CREATE TRIGGER doorlog_seq BEFORE INSERT ON doorlog FOR EACH ROW EXECUTE FUNCTION next_seq();
