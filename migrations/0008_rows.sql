-- +goose Up
-- The flat row of facts of each case, from which comparisons answer: a cache that can be made anew. The number of a row
-- rises in the order in which changes are committed, so that who has seen all up to one number asks for what came after.
CREATE TABLE case_rows (
    case_id TEXT PRIMARY KEY REFERENCES cases (id),
    number  BIGINT NOT NULL UNIQUE,
    form    INTEGER NOT NULL,
    body    TEXT NOT NULL
);
