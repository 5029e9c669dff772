-- "Not today: make it a visit of its own" is an answer too. SQLite changes a check only by making the table anew.
CREATE TABLE answers_new (
  id INTEGER PRIMARY KEY,
  machine TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('ask-on', 'leave-out', 'have-parts', 'own-visit')),
  tasks TEXT NOT NULL,
  day TEXT,
  hours REAL,
  at_ms INTEGER NOT NULL,
  by TEXT,
  voided_at_ms INTEGER,
  voided_by TEXT
) STRICT;
INSERT INTO answers_new (id, machine, kind, tasks, day, hours, at_ms, by, voided_at_ms, voided_by)
  SELECT id, machine, kind, tasks, day, hours, at_ms, by, voided_at_ms, voided_by FROM answers;
DROP TABLE answers;
ALTER TABLE answers_new RENAME TO answers;
CREATE INDEX answers_of ON answers (machine, at_ms);
CREATE TRIGGER answers_stand BEFORE UPDATE OF id, machine, kind, tasks, day, hours, at_ms, by ON answers
BEGIN SELECT RAISE(ABORT, 'an answer is voided, never edited'); END;
CREATE TRIGGER answers_stay BEFORE DELETE ON answers
BEGIN SELECT RAISE(ABORT, 'an answer stands; a later one may follow'); END;
