-- A sensor that said itself that it goes, or whose last will did, is away at once, not only after it was silent for long.
ALTER TABLE feed_totals ADD COLUMN is_away INTEGER NOT NULL DEFAULT 0 CHECK (is_away IN (0, 1));

-- The last messages of a machine's sensor that were refused; their shape is the feed's own.
CREATE TABLE feed_refusals (
  machine TEXT PRIMARY KEY,
  kept TEXT NOT NULL
) STRICT, WITHOUT ROWID;
