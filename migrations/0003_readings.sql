-- +goose Up
CREATE TABLE parts (
    id           TEXT PRIMARY KEY,
    case_id      TEXT NOT NULL REFERENCES cases (id),
    revision     BIGINT NOT NULL,
    place        INTEGER NOT NULL,
    source       TEXT NOT NULL,
    facts        TEXT NOT NULL,
    state        TEXT NOT NULL,
    state_reason TEXT NOT NULL,
    offset_ms    BIGINT,
    rates        TEXT NOT NULL,
    cuts         TEXT NOT NULL,
    real_time    BOOLEAN NOT NULL,
    checked_at   BIGINT NOT NULL
);
CREATE INDEX parts_by_case ON parts (case_id, place);

CREATE TABLE readings (
    id                TEXT PRIMARY KEY,
    case_id           TEXT NOT NULL REFERENCES cases (id),
    author_id         TEXT NOT NULL REFERENCES users (id),
    step_list_id      TEXT NOT NULL,
    step_list_version INTEGER NOT NULL,
    accepted          BOOLEAN NOT NULL,
    seq               BIGINT NOT NULL,
    created_at        BIGINT NOT NULL,
    FOREIGN KEY (step_list_id, step_list_version) REFERENCES step_lists (id, version)
);
CREATE INDEX readings_by_case ON readings (case_id, created_at, id);
CREATE INDEX readings_by_author ON readings (author_id);
CREATE INDEX readings_by_step_list ON readings (step_list_id, step_list_version);
CREATE UNIQUE INDEX readings_one_accepted ON readings (case_id) WHERE accepted;

-- The journal: only ever added to.
CREATE TABLE edits (
    reading_id TEXT NOT NULL REFERENCES readings (id),
    seq        BIGINT NOT NULL,
    id         TEXT NOT NULL UNIQUE,
    action     TEXT NOT NULL,
    undoes     TEXT NOT NULL,
    author_id  TEXT NOT NULL REFERENCES users (id),
    made_at    BIGINT NOT NULL,
    changes    TEXT NOT NULL,
    PRIMARY KEY (reading_id, seq)
);
CREATE INDEX edits_by_author ON edits (author_id);

-- The four kinds of items below are the fold of the journal, kept in the transaction that adds to it.
CREATE TABLE markers (
    reading_id        TEXT NOT NULL REFERENCES readings (id),
    id                TEXT NOT NULL,
    seq               BIGINT NOT NULL,
    step              TEXT NOT NULL,
    step_list_id      TEXT NOT NULL,
    step_list_version INTEGER NOT NULL,
    start_part        TEXT NOT NULL REFERENCES parts (id),
    start_ms          BIGINT NOT NULL,
    end_part          TEXT REFERENCES parts (id),
    end_ms            BIGINT,
    operator_id       TEXT NOT NULL,
    note              TEXT NOT NULL,
    PRIMARY KEY (reading_id, id),
    FOREIGN KEY (step_list_id, step_list_version) REFERENCES step_lists (id, version)
);
CREATE INDEX markers_by_start_part ON markers (start_part);
CREATE INDEX markers_by_end_part ON markers (end_part);
CREATE INDEX markers_by_step_list ON markers (step_list_id, step_list_version);

CREATE TABLE events (
    reading_id        TEXT NOT NULL REFERENCES readings (id),
    id                TEXT NOT NULL,
    seq               BIGINT NOT NULL,
    kind              TEXT NOT NULL,
    at_part           TEXT NOT NULL REFERENCES parts (id),
    at_ms             BIGINT NOT NULL,
    note              TEXT NOT NULL,
    step_list_id      TEXT,
    step_list_version INTEGER,
    PRIMARY KEY (reading_id, id),
    FOREIGN KEY (step_list_id, step_list_version) REFERENCES step_lists (id, version)
);
CREATE INDEX events_by_part ON events (at_part);
CREATE INDEX events_by_step_list ON events (step_list_id, step_list_version);

CREATE TABLE comments (
    reading_id TEXT NOT NULL REFERENCES readings (id),
    id         TEXT NOT NULL,
    seq        BIGINT NOT NULL,
    author_id  TEXT NOT NULL REFERENCES users (id),
    made_at    BIGINT NOT NULL,
    at_part    TEXT NOT NULL REFERENCES parts (id),
    at_ms      BIGINT NOT NULL,
    end_part   TEXT REFERENCES parts (id),
    end_ms     BIGINT,
    body       TEXT NOT NULL,
    reply_to   TEXT NOT NULL,
    shape      TEXT NOT NULL,
    settled    BOOLEAN NOT NULL,
    PRIMARY KEY (reading_id, id)
);
CREATE INDEX comments_by_thread ON comments (reading_id, reply_to, made_at);
CREATE INDEX comments_by_author ON comments (author_id);
CREATE INDEX comments_by_part ON comments (at_part);
CREATE INDEX comments_by_end_part ON comments (end_part);
CREATE INDEX comments_open ON comments (reading_id) WHERE NOT settled AND reply_to = '';

CREATE TABLE acceptances (
    reading_id TEXT NOT NULL REFERENCES readings (id),
    id         TEXT NOT NULL,
    seq        BIGINT NOT NULL,
    reason     TEXT NOT NULL,
    author_id  TEXT NOT NULL REFERENCES users (id),
    PRIMARY KEY (reading_id, id)
);
CREATE INDEX acceptances_by_author ON acceptances (author_id);
