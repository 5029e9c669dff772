-- What the subscribed calendar said of each visit, one row a change: programs that subscribe expect a number that grows
-- whenever day or tasks change, and nothing else that moves.
CREATE TABLE calendar_entries (
  visit TEXT NOT NULL,
  sequence INTEGER NOT NULL CHECK (sequence >= 0),
  day TEXT NOT NULL,
  tasks TEXT NOT NULL,
  changed_at_ms INTEGER NOT NULL,
  PRIMARY KEY (visit, sequence)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER calendar_entries_stand BEFORE UPDATE ON calendar_entries
BEGIN SELECT RAISE(ABORT, 'what the calendar said stands'); END;
CREATE TRIGGER calendar_entries_stay BEFORE DELETE ON calendar_entries
BEGIN SELECT RAISE(ABORT, 'what the calendar said stands'); END;
