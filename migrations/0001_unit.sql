-- +goose Up
-- Instants are Unix milliseconds, dates text YYYY-MM-DD, ids text, structures JSON as text.
CREATE TABLE unit (
    id                 INTEGER PRIMARY KEY CHECK (id = 1),
    revision           BIGINT NOT NULL,
    name               TEXT NOT NULL,
    loss_limit_percent DOUBLE PRECISION NOT NULL,
    density_limit      DOUBLE PRECISION NOT NULL,
    invented           BOOLEAN NOT NULL
);
-- The limits are common practice for what a unit wants to be told; it may change them.
INSERT INTO unit VALUES (1, 1, 'Eye unit', 20, 1000, FALSE);

CREATE TABLE users (
    id                   TEXT PRIMARY KEY,
    revision             BIGINT NOT NULL,
    login                TEXT NOT NULL UNIQUE,
    name                 TEXT NOT NULL,
    search               TEXT NOT NULL,
    roles                TEXT NOT NULL,
    grade                TEXT NOT NULL,
    active               BOOLEAN NOT NULL,
    must_change_password BOOLEAN NOT NULL,
    password_hash        TEXT NOT NULL,
    created_at           BIGINT NOT NULL
);
CREATE INDEX users_by_name ON users (name, id);

-- One row per account name and one per address that signed in wrongly of late.
CREATE TABLE login_tries (
    who          TEXT PRIMARY KEY,
    failures     INTEGER NOT NULL,
    last_at      BIGINT NOT NULL,
    paused_until BIGINT NOT NULL
);
CREATE INDEX login_tries_by_last_at ON login_tries (last_at);

CREATE TABLE sessions (
    token  TEXT PRIMARY KEY,
    data   BYTEA NOT NULL,
    expiry BIGINT NOT NULL
);
CREATE INDEX sessions_by_expiry ON sessions (expiry);

CREATE TABLE step_lists (
    id         TEXT NOT NULL,
    version    INTEGER NOT NULL,
    name       TEXT NOT NULL,
    technique  TEXT NOT NULL,
    shipped    BOOLEAN NOT NULL,
    body       TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    PRIMARY KEY (id, version)
);

-- Who saw or changed what. Each row holds the hash of the row before it.
CREATE TABLE audit (
    seq        BIGINT PRIMARY KEY,
    at         BIGINT NOT NULL,
    actor_id   TEXT NOT NULL,
    action     TEXT NOT NULL,
    case_id    TEXT NOT NULL,
    thing_id   TEXT NOT NULL,
    detail     TEXT NOT NULL,
    request_id TEXT NOT NULL,
    prev_hash  TEXT NOT NULL,
    hash       TEXT NOT NULL
);
CREATE INDEX audit_by_case ON audit (case_id, seq);
