-- +goose Up
-- The clinical record as a whole: counts from different instruments compared on request, the fellow eye counted again,
-- the risk fitted to the unit, and what rates and completeness of the unit are added up from.
ALTER TABLE cases ADD COLUMN compare_instruments BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE visits ADD COLUMN fellow_exam TEXT NOT NULL DEFAULT 'null';
ALTER TABLE unit ADD COLUMN recalibration TEXT NOT NULL DEFAULT 'null';

-- The version of the rules by which the next three were made; 0 means never, and they are then made when asked for.
ALTER TABLE case_facts ADD COLUMN item_rules INTEGER NOT NULL DEFAULT 0;
-- A bit for each item of the minimum sets that the case lacks.
ALTER TABLE case_facts ADD COLUMN missing_items BIGINT NOT NULL DEFAULT 0;
-- The published chance of capsule rupture or vitreous loss in percent; the two differ while a factor is unknown.
ALTER TABLE case_facts ADD COLUMN expected_low DOUBLE PRECISION NOT NULL DEFAULT 0;
ALTER TABLE case_facts ADD COLUMN expected_high DOUBLE PRECISION NOT NULL DEFAULT 0;
