-- An answer can be taken back like any other fact, and a question about a reading says which later reading answered it.
ALTER TABLE answers ADD COLUMN voided_at_ms INTEGER;
ALTER TABLE answers ADD COLUMN voided_by TEXT;
DROP TRIGGER answers_stand;
CREATE TRIGGER answers_stand BEFORE UPDATE OF id, machine, kind, tasks, day, hours, at_ms, by ON answers
BEGIN SELECT RAISE(ABORT, 'an answer is voided, never edited'); END;

ALTER TABLE aside ADD COLUMN answered_by TEXT REFERENCES readings (id);
