-- +goose Up
-- Teaching: the unit's own assessment forms, what was judged with them, goals that were agreed on, and which comments a
-- person has seen.
CREATE TABLE assessment_forms (
    id      TEXT NOT NULL,
    version INTEGER NOT NULL,
    body    TEXT NOT NULL,
    PRIMARY KEY (id, version)
);

CREATE TABLE assessments (
    id           TEXT PRIMARY KEY,
    case_id      TEXT NOT NULL REFERENCES cases (id),
    revision     BIGINT NOT NULL,
    form_id      TEXT NOT NULL,
    form_version INTEGER NOT NULL,
    subject_id   TEXT NOT NULL REFERENCES users (id),
    assessor_id  TEXT NOT NULL REFERENCES users (id),
    body         TEXT NOT NULL,
    FOREIGN KEY (form_id, form_version) REFERENCES assessment_forms (id, version)
);
CREATE INDEX assessments_by_case ON assessments (case_id, id);
CREATE INDEX assessments_by_form ON assessments (form_id, form_version);
CREATE INDEX assessments_by_subject ON assessments (subject_id, id);
CREATE INDEX assessments_by_assessor ON assessments (assessor_id);

CREATE TABLE goals (
    id         TEXT PRIMARY KEY,
    revision   BIGINT NOT NULL,
    trainee_id TEXT NOT NULL REFERENCES users (id),
    author_id  TEXT NOT NULL REFERENCES users (id),
    body       TEXT NOT NULL
);
CREATE INDEX goals_by_trainee ON goals (trainee_id, id);
CREATE INDEX goals_by_author ON goals (author_id);

CREATE TABLE comments_seen (
    user_id    TEXT NOT NULL REFERENCES users (id),
    reading_id TEXT NOT NULL,
    comment_id TEXT NOT NULL,
    seen_at    BIGINT NOT NULL,
    PRIMARY KEY (user_id, reading_id, comment_id)
);
CREATE INDEX comments_seen_by_reading ON comments_seen (reading_id);
