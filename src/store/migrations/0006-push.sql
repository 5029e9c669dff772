-- Browsers that people want to be told on. One row a browser: an address of a push service is of one browser alone.
CREATE TABLE push_devices (
  id TEXT PRIMARY KEY,
  person TEXT NOT NULL,
  endpoint TEXT NOT NULL UNIQUE,
  p256dh TEXT NOT NULL,
  auth TEXT NOT NULL,
  added_at_ms INTEGER NOT NULL,
  -- Messages in a row that the push service would not take, for reasons that are not the browser's.
  refusals INTEGER NOT NULL,
  last_word TEXT
) STRICT;
CREATE INDEX push_devices_of ON push_devices (person);

-- Which device has which letter: the others are tried again, this one is not.
CREATE TABLE push_taken (
  letter TEXT NOT NULL REFERENCES outbox (id),
  device TEXT NOT NULL,
  PRIMARY KEY (letter, device)
) STRICT, WITHOUT ROWID;

-- The same letter by a further way out; null: the letter that carries the notices.
ALTER TABLE outbox ADD COLUMN copy_of TEXT REFERENCES outbox (id);
