-- The record of the visit that saw to what was noticed, and what was said afterwards: whether it helped.
ALTER TABLE noticed ADD COLUMN answered_record TEXT REFERENCES records (id);

CREATE TABLE helped (
  id TEXT PRIMARY KEY,
  noticed TEXT NOT NULL REFERENCES noticed (id),
  answer TEXT NOT NULL CHECK (answer IN ('yes', 'no', 'cannot-tell')),
  at_ms INTEGER NOT NULL,
  by TEXT,
  -- Which time of seeing to it the answer is about: a "no" opens the noticing again, and taking it back restores this.
  seen_to_at_ms INTEGER NOT NULL,
  seen_to_by TEXT,
  seen_to_record TEXT REFERENCES records (id),
  voided_at_ms INTEGER,
  voided_by TEXT
) STRICT;
CREATE INDEX helped_of ON helped (noticed, at_ms);
CREATE TRIGGER helped_stand BEFORE UPDATE OF id, noticed, answer, at_ms, by, seen_to_at_ms, seen_to_by, seen_to_record ON helped
BEGIN SELECT RAISE(ABORT, 'what was said is voided, never edited'); END;
CREATE TRIGGER helped_stay BEFORE DELETE ON helped
BEGIN SELECT RAISE(ABORT, 'what was said is voided, never deleted'); END;
