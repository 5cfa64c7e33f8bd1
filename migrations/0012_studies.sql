-- +goose Up
-- Studies of what came of the eyes, and the answers that were frozen, which are only ever added to. A study that its owner
-- took away stays as a row, because what was frozen of it stays.
CREATE TABLE studies (
    id         TEXT PRIMARY KEY,
    revision   BIGINT NOT NULL,
    owner_id   TEXT NOT NULL REFERENCES users (id),
    removed_at BIGINT NOT NULL,
    body       TEXT NOT NULL
);
CREATE INDEX studies_by_owner ON studies (owner_id);

CREATE TABLE frozen_studies (
    id           TEXT PRIMARY KEY,
    study_id     TEXT NOT NULL REFERENCES studies (id),
    number       INTEGER NOT NULL,
    frozen_by    TEXT NOT NULL REFERENCES users (id),
    body         TEXT NOT NULL,
    content_json BYTEA NOT NULL,
    content_html BYTEA NOT NULL,
    content_pdf  BYTEA NOT NULL,
    content_csv  BYTEA NOT NULL,
    content_xlsx BYTEA NOT NULL,
    UNIQUE (study_id, number)
);
CREATE INDEX frozen_studies_by_author ON frozen_studies (frozen_by);
