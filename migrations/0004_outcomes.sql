-- +goose Up
CREATE TABLE complications (
    id          TEXT PRIMARY KEY,
    case_id     TEXT NOT NULL REFERENCES cases (id),
    revision    BIGINT NOT NULL,
    kind        TEXT NOT NULL,
    at_part     TEXT REFERENCES parts (id),
    at_ms       BIGINT,
    on_date     TEXT NOT NULL,
    severity    INTEGER NOT NULL,
    action      TEXT NOT NULL,
    resolved_on TEXT NOT NULL,
    note        TEXT NOT NULL
);
CREATE INDEX complications_by_case ON complications (case_id, id);
CREATE INDEX complications_by_kind ON complications (kind, case_id);
CREATE INDEX complications_by_part ON complications (at_part);

CREATE TABLE visits (
    id           TEXT PRIMARY KEY,
    case_id      TEXT NOT NULL REFERENCES cases (id),
    revision     BIGINT NOT NULL,
    visit_window TEXT NOT NULL,
    date         TEXT NOT NULL,
    acuity       TEXT NOT NULL,
    pressure     DOUBLE PRECISION,
    oedema_grade INTEGER,
    thickness    INTEGER,
    exam         TEXT NOT NULL,
    note         TEXT NOT NULL
);
CREATE INDEX visits_by_case ON visits (case_id, date, id);

-- Signed reports and what was added to them never change.
CREATE TABLE reports (
    id           TEXT PRIMARY KEY,
    case_id      TEXT NOT NULL REFERENCES cases (id),
    number       INTEGER NOT NULL,
    hash         TEXT NOT NULL,
    signed_by    TEXT NOT NULL REFERENCES users (id),
    signer_name  TEXT NOT NULL,
    signed_at    BIGINT NOT NULL,
    case_change  BIGINT NOT NULL,
    content_json BYTEA NOT NULL,
    content_html BYTEA NOT NULL,
    content_pdf  BYTEA NOT NULL,
    content_csv  BYTEA NOT NULL,
    UNIQUE (case_id, number)
);
CREATE INDEX reports_by_signer ON reports (signed_by);

CREATE TABLE addenda (
    id          TEXT PRIMARY KEY,
    report_id   TEXT NOT NULL REFERENCES reports (id),
    place       INTEGER NOT NULL,
    author_id   TEXT NOT NULL REFERENCES users (id),
    author_name TEXT NOT NULL,
    body        TEXT NOT NULL,
    made_at     BIGINT NOT NULL,
    hash        TEXT NOT NULL,
    UNIQUE (report_id, place)
);
CREATE INDEX addenda_by_author ON addenda (author_id);
