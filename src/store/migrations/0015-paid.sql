-- What was paid for the work of a record: one amount that stands, earlier ones voided. Whole smallest units of the currency, with how
-- many of their digits stood behind the point then: neither a change of the household's currency nor of a table moves an old amount.
CREATE TABLE paid (
  id TEXT PRIMARY KEY,
  record TEXT NOT NULL REFERENCES records (id),
  minor_units INTEGER NOT NULL CHECK (minor_units BETWEEN 0 AND 1000000000000),
  minor_digits INTEGER NOT NULL CHECK (minor_digits BETWEEN 0 AND 4),
  currency TEXT NOT NULL CHECK (length(currency) = 3),
  what TEXT,
  at_ms INTEGER NOT NULL,
  by TEXT,
  voided_at_ms INTEGER,
  voided_by TEXT
) STRICT;
CREATE UNIQUE INDEX paid_standing ON paid (record) WHERE voided_at_ms IS NULL;
CREATE TRIGGER paid_stand BEFORE UPDATE OF id, record, minor_units, minor_digits, currency, what, at_ms, by ON paid
BEGIN SELECT RAISE(ABORT, 'what was paid is voided, never edited'); END;
CREATE TRIGGER paid_stay BEFORE DELETE ON paid
BEGIN SELECT RAISE(ABORT, 'what was paid is voided, never deleted'); END;
