-- +goose Up

-- How the farm sows and grows: one row.
CREATE TABLE growing (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL
);
CREATE TABLE profiles (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    variety TEXT COLLATE "C" NOT NULL
);
CREATE TABLE beds (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    name TEXT COLLATE "C" NOT NULL
);
CREATE TABLE surges (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX surges_day ON surges (day);

-- What happened to batches. A wrong event is corrected by another, so nothing
-- here is ever changed or deleted.
CREATE TABLE batch_events (
    code TEXT COLLATE "C" PRIMARY KEY, rev BIGINT NOT NULL, ended BOOLEAN NOT NULL DEFAULT FALSE, body TEXT COLLATE "C" NOT NULL,
    batch TEXT COLLATE "C" NOT NULL,
    day   TEXT COLLATE "C" NOT NULL,
    lift  TEXT COLLATE "C" NOT NULL DEFAULT ''
);
CREATE INDEX batch_events_batch ON batch_events (batch);
CREATE INDEX batch_events_rev ON batch_events (rev);
CREATE INDEX batch_events_lift ON batch_events (lift);
CREATE TRIGGER batch_events_keep BEFORE UPDATE OR DELETE ON batch_events FOR EACH ROW EXECUTE FUNCTION never_changed();
CREATE TRIGGER batch_events_stay BEFORE TRUNCATE ON batch_events EXECUTE FUNCTION never_changed();
