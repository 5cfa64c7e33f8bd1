-- +goose Up
CREATE TABLE cases (
    id                  TEXT PRIMARY KEY,
    revision            BIGINT NOT NULL,
    pseudonym           TEXT NOT NULL,
    -- The pseudonym in the order in which people count (2 before 10), compared byte by byte in both databases.
    pseudonym_key       BYTEA NOT NULL,
    search              TEXT NOT NULL,
    eye                 TEXT NOT NULL,
    date                TEXT NOT NULL,
    nuclear_grade       INTEGER,
    technique_planned   TEXT NOT NULL,
    technique_performed TEXT NOT NULL,
    eye_before          TEXT NOT NULL,
    operation           TEXT NOT NULL,
    created_by          TEXT NOT NULL REFERENCES users (id),
    created_at          BIGINT NOT NULL,
    updated_at          BIGINT NOT NULL,
    change              BIGINT NOT NULL
);
CREATE INDEX cases_by_date ON cases (date, id);
CREATE INDEX cases_by_pseudonym ON cases (pseudonym_key, id);
CREATE INDEX cases_by_grade ON cases (nuclear_grade, id);
CREATE INDEX cases_by_technique ON cases (technique_performed, id);
CREATE INDEX cases_by_creator ON cases (created_by);

CREATE TABLE case_operators (
    case_id TEXT NOT NULL REFERENCES cases (id),
    user_id TEXT NOT NULL REFERENCES users (id),
    role    TEXT NOT NULL,
    grade   TEXT NOT NULL,
    place   INTEGER NOT NULL,
    PRIMARY KEY (case_id, user_id)
);
CREATE INDEX case_operators_by_user ON case_operators (user_id, case_id);

CREATE TABLE case_shares (
    case_id TEXT NOT NULL REFERENCES cases (id),
    user_id TEXT NOT NULL REFERENCES users (id),
    place   INTEGER NOT NULL,
    PRIMARY KEY (case_id, user_id)
);
CREATE INDEX case_shares_by_user ON case_shares (user_id, case_id);

-- What follows from the rest of a case and is kept for lists and reference groups: a cache that can be made anew.
CREATE TABLE case_facts (
    case_id       TEXT PRIMARY KEY REFERENCES cases (id),
    recorded      BOOLEAN NOT NULL,
    tagged        BOOLEAN NOT NULL,
    signed        BOOLEAN NOT NULL,
    operation_ms  BIGINT,
    due_window    TEXT NOT NULL,
    due_on        TEXT NOT NULL,
    late_on       TEXT NOT NULL,
    open_comments INTEGER NOT NULL
);
CREATE INDEX case_facts_by_operation ON case_facts (operation_ms, case_id);
CREATE INDEX case_facts_by_due ON case_facts (late_on, case_id);

-- The times of the accepted reading: one row per step, per stage and for the operation.
CREATE TABLE case_steps (
    case_id  TEXT NOT NULL REFERENCES cases (id),
    kind     TEXT NOT NULL,
    code     TEXT NOT NULL,
    place    INTEGER NOT NULL,
    total_ms BIGINT,
    episodes INTEGER NOT NULL,
    quality  TEXT NOT NULL,
    PRIMARY KEY (case_id, kind, code)
);
