-- +goose Up

-- What was done in the house, each an event that is never changed.
CREATE TABLE issues (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX issues_day ON issues (day);
CREATE TABLE lifts (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX lifts_day ON lifts (day);
CREATE TABLE packings (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX packings_day ON packings (day);
CREATE TABLE departures (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX departures_day ON departures (day);
CREATE TABLE returns (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX returns_day ON returns (day);
-- A carrier's pickup that was closed at its cut-off.
CREATE TABLE closings (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);

-- Papers as they were printed: the document they were made from and the bytes.
CREATE TABLE prints (
    seq    BIGINT PRIMARY KEY,
    issue  TEXT COLLATE "C" NOT NULL REFERENCES issues (code) DEFERRABLE,
    name   TEXT COLLATE "C" NOT NULL,
    at     TEXT COLLATE "C" NOT NULL,
    bytes  BYTEA NOT NULL,
    UNIQUE (issue, name)
);
CREATE TRIGGER prints_keep BEFORE UPDATE OR DELETE ON prints FOR EACH ROW EXECUTE FUNCTION never_changed();
CREATE TRIGGER prints_stay BEFORE TRUNCATE ON prints EXECUTE FUNCTION never_changed();
CREATE TRIGGER prints_seq BEFORE INSERT ON prints FOR EACH ROW EXECUTE FUNCTION next_seq();
