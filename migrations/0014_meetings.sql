-- +goose Up
-- Morbidity meetings. The case of an item stands in its own column, because it never leaves the server.
CREATE TABLE meetings (
    id        TEXT PRIMARY KEY,
    revision  BIGINT NOT NULL,
    date      TEXT NOT NULL,
    state     TEXT NOT NULL,
    opens_on  TEXT NOT NULL,
    closes_on TEXT NOT NULL,
    chair_id  TEXT NOT NULL REFERENCES users (id),
    change    BIGINT NOT NULL,
    body      TEXT NOT NULL
);
CREATE INDEX meetings_by_date ON meetings (date, id);
CREATE INDEX meetings_by_chair ON meetings (chair_id);

-- Everybody whom a meeting is open to, beside its chair.
CREATE TABLE meeting_attendees (
    meeting_id TEXT NOT NULL REFERENCES meetings (id),
    user_id    TEXT NOT NULL REFERENCES users (id),
    place      INTEGER NOT NULL,
    present    BOOLEAN NOT NULL,
    apology    BOOLEAN NOT NULL,
    PRIMARY KEY (meeting_id, user_id)
);
CREATE INDEX meeting_attendees_by_user ON meeting_attendees (user_id);

CREATE TABLE meeting_items (
    id         TEXT PRIMARY KEY,
    meeting_id TEXT NOT NULL REFERENCES meetings (id),
    case_id    TEXT REFERENCES cases (id),
    place      INTEGER NOT NULL,
    revision   BIGINT NOT NULL,
    body       TEXT NOT NULL,
    record     TEXT NOT NULL
);
CREATE INDEX meeting_items_by_meeting ON meeting_items (meeting_id, place);
CREATE INDEX meeting_items_by_case ON meeting_items (case_id);

-- A vote on one question of an item, how often each answer was given, and, apart from that, who has voted.
CREATE TABLE meeting_votings (
    item_id  TEXT NOT NULL REFERENCES meeting_items (id),
    question TEXT NOT NULL,
    open     BOOLEAN NOT NULL,
    PRIMARY KEY (item_id, question)
);
CREATE TABLE meeting_votes (
    item_id  TEXT NOT NULL REFERENCES meeting_items (id),
    question TEXT NOT NULL,
    value    TEXT NOT NULL,
    votes    INTEGER NOT NULL,
    PRIMARY KEY (item_id, question, value)
);
CREATE TABLE meeting_voters (
    item_id  TEXT NOT NULL REFERENCES meeting_items (id),
    question TEXT NOT NULL,
    user_id  TEXT NOT NULL REFERENCES users (id),
    PRIMARY KEY (item_id, question, user_id)
);
CREATE INDEX meeting_voters_by_user ON meeting_voters (user_id);

CREATE TABLE meeting_remarks (
    id         TEXT PRIMARY KEY,
    meeting_id TEXT NOT NULL REFERENCES meetings (id),
    item_id    TEXT NOT NULL REFERENCES meeting_items (id),
    author_id  TEXT NOT NULL REFERENCES users (id),
    made_at    BIGINT NOT NULL,
    body       TEXT NOT NULL
);
CREATE INDEX meeting_remarks_by_meeting ON meeting_remarks (meeting_id, made_at, id);
CREATE INDEX meeting_remarks_by_item ON meeting_remarks (item_id);
CREATE INDEX meeting_remarks_by_author ON meeting_remarks (author_id);

CREATE TABLE meeting_actions (
    id         TEXT PRIMARY KEY,
    revision   BIGINT NOT NULL,
    meeting_id TEXT NOT NULL REFERENCES meetings (id),
    owner_id   TEXT NOT NULL REFERENCES users (id),
    state      TEXT NOT NULL,
    due_on     TEXT NOT NULL,
    body       TEXT NOT NULL
);
CREATE INDEX meeting_actions_by_meeting ON meeting_actions (meeting_id, due_on, id);
CREATE INDEX meeting_actions_by_owner ON meeting_actions (owner_id, due_on, id);
CREATE INDEX meeting_actions_by_due ON meeting_actions (due_on, id);

-- Where a running meeting is. Seq counts the places of the meeting.
CREATE TABLE meeting_places (
    meeting_id TEXT PRIMARY KEY REFERENCES meetings (id),
    seq        BIGINT NOT NULL,
    body       TEXT NOT NULL
);
