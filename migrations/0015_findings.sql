-- +goose Up
-- The report in full: findings and learning points of a case, who said that nothing is burned into a recording's picture,
-- and which sections the unit's reports have.
CREATE TABLE findings (
    id        TEXT PRIMARY KEY,
    case_id   TEXT NOT NULL REFERENCES cases (id),
    revision  BIGINT NOT NULL,
    place     INTEGER NOT NULL,
    author_id TEXT NOT NULL REFERENCES users (id),
    body      TEXT NOT NULL
);
CREATE INDEX findings_by_case ON findings (case_id, place, id);
CREATE INDEX findings_by_author ON findings (author_id);

ALTER TABLE parts ADD COLUMN cleared_by TEXT NOT NULL DEFAULT '';
ALTER TABLE parts ADD COLUMN cleared_at BIGINT NOT NULL DEFAULT 0;

ALTER TABLE unit ADD COLUMN report_sections TEXT NOT NULL DEFAULT 'null';
