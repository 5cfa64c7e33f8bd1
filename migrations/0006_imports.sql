-- +goose Up
-- Imports of visits: the file of a person, row by row, until it is forgotten.
CREATE TABLE imports (
    id       TEXT PRIMARY KEY,
    owner_id TEXT NOT NULL REFERENCES users (id),
    place    INTEGER NOT NULL,
    body     TEXT NOT NULL,
    made_at  BIGINT NOT NULL
);
CREATE INDEX imports_by_owner ON imports (owner_id);
CREATE INDEX imports_by_made_at ON imports (made_at);

CREATE TABLE import_rows (
    import_id TEXT NOT NULL REFERENCES imports (id),
    number    INTEGER NOT NULL,
    cells     TEXT NOT NULL,
    hidden    BOOLEAN NOT NULL,
    verdict   TEXT NOT NULL,
    written   BOOLEAN NOT NULL,
    judgement TEXT NOT NULL,
    identity  TEXT NOT NULL,
    PRIMARY KEY (import_id, number)
);
CREATE INDEX import_rows_by_verdict ON import_rows (import_id, verdict, number);
CREATE INDEX import_rows_by_identity ON import_rows (import_id, identity);

-- How the columns with a header were matched last, by each person and, without a person, in the unit.
CREATE TABLE import_matchings (
    person_id   TEXT NOT NULL,
    columns_key TEXT NOT NULL,
    body        TEXT NOT NULL,
    PRIMARY KEY (person_id, columns_key)
);

CREATE INDEX cases_by_search ON cases (search, id);
