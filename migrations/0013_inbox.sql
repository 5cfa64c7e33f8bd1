-- +goose Up
-- Which cases come to the meeting by themselves ('null': the usual rules), and what the patient agreed to.
ALTER TABLE unit ADD COLUMN triggers TEXT NOT NULL DEFAULT 'null';
ALTER TABLE cases ADD COLUMN consent TEXT NOT NULL DEFAULT '{"recording":"","review":""}';

-- Why a case waits for a meeting: at most one row for a case and a kind. The number names the case within the inbox and
-- means nothing else; all rows of a case have the same.
CREATE TABLE inbox_entries (
    id               TEXT PRIMARY KEY,
    case_id          TEXT NOT NULL REFERENCES cases (id),
    number           INTEGER NOT NULL,
    kind             TEXT NOT NULL,
    reason           TEXT NOT NULL,
    raised_at        BIGINT NOT NULL,
    state            TEXT NOT NULL,
    dismissed_reason TEXT NOT NULL,
    meeting_id       TEXT NOT NULL,
    UNIQUE (case_id, kind)
);
CREATE INDEX inbox_entries_by_number ON inbox_entries (number, raised_at, id);

-- Up to which number the flat rows of cases were judged, and by which rules. Whoever adds reasons holds this row.
CREATE TABLE inbox_sweep (
    id     INTEGER PRIMARY KEY CHECK (id = 1),
    number BIGINT NOT NULL,
    rules  TEXT NOT NULL
);
INSERT INTO inbox_sweep VALUES (1, 0, '');
