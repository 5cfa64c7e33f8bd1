-- +goose Up
-- Reviews after which the charts of one complication begin again, of one operator or, without one, of the unit. They are
-- only ever added to.
CREATE TABLE monitoring_reviews (
    id          TEXT PRIMARY KEY,
    operator_id TEXT REFERENCES users (id),
    kind        TEXT NOT NULL,
    date        TEXT NOT NULL,
    reason      TEXT NOT NULL,
    author_id   TEXT NOT NULL REFERENCES users (id),
    made_at     BIGINT NOT NULL
);
CREATE INDEX monitoring_reviews_by_kind ON monitoring_reviews (kind, date, id);
CREATE INDEX monitoring_reviews_by_operator ON monitoring_reviews (operator_id);
CREATE INDEX monitoring_reviews_by_author ON monitoring_reviews (author_id);
