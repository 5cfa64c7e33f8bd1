-- +goose Up
-- Who made a reading the accepted one, when and why; null for one that became it by being the first.
ALTER TABLE readings ADD COLUMN acceptance TEXT NOT NULL DEFAULT 'null';
