-- +goose Up
-- The deeper clinical record; what lies within a case's or an exam's JSON needs no column. Rows from before say nothing
-- of the new things, which is "unknown".
ALTER TABLE cases ADD COLUMN lost_to_follow_up TEXT NOT NULL DEFAULT 'null';
ALTER TABLE visits ADD COLUMN uncorrected_acuity TEXT NOT NULL DEFAULT '';
ALTER TABLE visits ADD COLUMN refraction TEXT NOT NULL DEFAULT 'null';
ALTER TABLE visits ADD COLUMN medication TEXT NOT NULL DEFAULT '';
ALTER TABLE complications ADD COLUMN visit_id TEXT NOT NULL DEFAULT '';
-- A unit without a plan of its own follows the usual one, which the program knows.
ALTER TABLE unit ADD COLUMN windows TEXT NOT NULL DEFAULT 'null';
