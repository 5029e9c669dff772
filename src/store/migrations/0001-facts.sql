-- Facts are appended or voided, never edited: the triggers at the end hold to it.
-- Times are UTC milliseconds, days ISO text, other quantities carry their unit in the column name.

CREATE TABLE counter (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  facts_version INTEGER NOT NULL
) STRICT;
INSERT INTO counter (id, facts_version) VALUES (1, 1);

-- The last number given to each kind of id.
CREATE TABLE ids (
  kind TEXT PRIMARY KEY,
  last INTEGER NOT NULL
) STRICT;

CREATE TABLE readings (
  id TEXT PRIMARY KEY,
  machine TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  hours REAL NOT NULL CHECK (hours >= 0 AND hours < 10000000),
  about INTEGER NOT NULL CHECK (about IN (0, 1)),
  door TEXT NOT NULL,
  by TEXT,
  note TEXT,
  entered_at_ms INTEGER NOT NULL,
  voided_at_ms INTEGER,
  voided_by TEXT
) STRICT;
CREATE UNIQUE INDEX readings_once ON readings (machine, at_ms, hours) WHERE voided_at_ms IS NULL;

CREATE TABLE aside (
  id TEXT PRIMARY KEY,
  machine TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  hours REAL NOT NULL CHECK (hours >= 0 AND hours < 10000000),
  question TEXT NOT NULL,
  suggestion_hours REAL,
  door TEXT NOT NULL,
  by TEXT,
  entered_at_ms INTEGER NOT NULL,
  settled_at_ms INTEGER,
  settled TEXT CHECK (settled IN ('confirmed', 'dropped')),
  settled_by TEXT
) STRICT;
CREATE INDEX aside_open ON aside (machine, at_ms) WHERE settled_at_ms IS NULL;

CREATE TABLE told_runs (
  id TEXT PRIMARY KEY,
  machine TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  minutes REAL NOT NULL CHECK (minutes > 0 AND minutes <= 1440),
  door TEXT NOT NULL,
  by TEXT,
  entered_at_ms INTEGER NOT NULL,
  voided_at_ms INTEGER,
  voided_by TEXT
) STRICT;
CREATE INDEX told_runs_of ON told_runs (machine, at_ms) WHERE voided_at_ms IS NULL;

CREATE TABLE not_used (
  id TEXT PRIMARY KEY,
  machine TEXT NOT NULL,
  since_ms INTEGER NOT NULL,
  told_at_ms INTEGER NOT NULL CHECK (told_at_ms >= since_ms),
  door TEXT NOT NULL,
  by TEXT,
  voided_at_ms INTEGER,
  voided_by TEXT
) STRICT;
CREATE INDEX not_used_of ON not_used (machine, since_ms) WHERE voided_at_ms IS NULL;

-- One row a run and one a stretch of coverage: a row grows while the engine runs, so that a small card lives for years.
CREATE TABLE runs (
  machine TEXT NOT NULL,
  from_ms INTEGER NOT NULL,
  to_ms INTEGER NOT NULL CHECK (to_ms > from_ms),
  PRIMARY KEY (machine, from_ms)
) STRICT, WITHOUT ROWID;

CREATE TABLE coverage (
  machine TEXT NOT NULL,
  from_ms INTEGER NOT NULL,
  to_ms INTEGER NOT NULL CHECK (to_ms > from_ms),
  PRIMARY KEY (machine, from_ms)
) STRICT, WITHOUT ROWID;

CREATE TABLE feed_totals (
  machine TEXT PRIMARY KEY,
  run_seconds REAL NOT NULL CHECK (run_seconds >= 0),
  last_at_ms INTEGER,
  -- What the counting needs to go on after a restart; its shape is the feed's own.
  memory TEXT
) STRICT;

CREATE TABLE records (
  id TEXT PRIMARY KEY,
  machine TEXT NOT NULL,
  visit TEXT,
  day TEXT NOT NULL,
  hours REAL,
  hours_known TEXT NOT NULL CHECK (hours_known IN ('read', 'estimated', 'unknown')),
  door TEXT NOT NULL,
  by TEXT,
  note TEXT,
  minutes REAL,
  -- The reading that came with the confirmation, if it made one.
  reading TEXT REFERENCES readings (id),
  entered_at_ms INTEGER NOT NULL,
  voided_at_ms INTEGER,
  voided_by TEXT
) STRICT;
CREATE INDEX records_of ON records (machine, day);

CREATE TABLE record_tasks (
  record TEXT NOT NULL REFERENCES records (id),
  place INTEGER NOT NULL,
  task TEXT NOT NULL,
  PRIMARY KEY (record, place),
  UNIQUE (record, task)
) STRICT, WITHOUT ROWID;

CREATE TABLE findings (
  record TEXT NOT NULL REFERENCES records (id),
  number INTEGER NOT NULL,
  task TEXT NOT NULL,
  measurement TEXT NOT NULL,
  place TEXT,
  found TEXT,
  left_as TEXT,
  verdict TEXT,
  note TEXT,
  PRIMARY KEY (record, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE answers (
  id INTEGER PRIMARY KEY,
  machine TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('ask-on', 'leave-out', 'have-parts')),
  tasks TEXT NOT NULL,
  day TEXT,
  hours REAL,
  at_ms INTEGER NOT NULL,
  by TEXT
) STRICT;
CREATE INDEX answers_of ON answers (machine, at_ms);

CREATE TABLE visits (
  id TEXT PRIMARY KEY,
  machine TEXT NOT NULL,
  announced_at_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX visits_of ON visits (machine);

CREATE TABLE visit_revisions (
  visit TEXT NOT NULL REFERENCES visits (id),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  tasks TEXT NOT NULL,
  day TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  -- Its tasks went into other visits before it was done.
  dropped_at_ms INTEGER,
  PRIMARY KEY (visit, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE outbox (
  id TEXT PRIMARY KEY,
  message_id TEXT NOT NULL UNIQUE,
  to_person TEXT NOT NULL,
  channel TEXT NOT NULL,
  letter TEXT NOT NULL,
  written_at_ms INTEGER NOT NULL,
  in_reply_to TEXT,
  earlier TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('pending', 'sending', 'delivered', 'refused', 'unknown')),
  -- Which opening of the store was sending it: another one's unfinished attempt ended in a crash.
  sender TEXT,
  crashes INTEGER NOT NULL,
  attempts INTEGER NOT NULL,
  next_try_at_ms INTEGER NOT NULL,
  last_word TEXT
) STRICT;
CREATE INDEX outbox_waiting ON outbox (next_try_at_ms) WHERE state IN ('pending', 'sending');

CREATE TABLE attempts (
  letter TEXT NOT NULL REFERENCES outbox (id),
  number INTEGER NOT NULL,
  at_ms INTEGER NOT NULL,
  outcome TEXT NOT NULL CHECK (outcome IN ('delivered', 'refused', 'try-later', 'crashed')),
  detail TEXT,
  PRIMARY KEY (letter, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE notices (
  id TEXT PRIMARY KEY,
  -- The letter that carried it: rows sent as one message share it.
  message TEXT NOT NULL REFERENCES outbox (id),
  kind TEXT NOT NULL,
  machine TEXT,
  visit TEXT REFERENCES visits (id),
  tasks TEXT NOT NULL,
  to_person TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  proposed_day TEXT,
  because TEXT NOT NULL,
  -- What may be said only once: visit, kind, proposed day and person; or machine, kind, day and person.
  once TEXT NOT NULL UNIQUE
) STRICT;
CREATE INDEX notices_of ON notices (machine, at_ms);
CREATE INDEX notices_of_visit ON notices (visit, to_person, at_ms);

CREATE TABLE noticed (
  id TEXT PRIMARY KEY,
  machine TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  text TEXT NOT NULL,
  by TEXT,
  answered_at_ms INTEGER,
  answered_by TEXT
) STRICT;
CREATE INDEX noticed_of ON noticed (machine, at_ms);

CREATE TABLE stock_moves (
  id INTEGER PRIMARY KEY,
  machine TEXT NOT NULL,
  -- Lower case; pieces, litres for fluids, kilograms for grease.
  name TEXT NOT NULL,
  change REAL NOT NULL,
  at_ms INTEGER NOT NULL,
  record TEXT REFERENCES records (id),
  by TEXT,
  voided_at_ms INTEGER
) STRICT;
CREATE INDEX stock_moves_of ON stock_moves (machine, name) WHERE voided_at_ms IS NULL;

CREATE TABLE keys (
  id TEXT PRIMARY KEY,
  purpose TEXT NOT NULL,
  secret BLOB NOT NULL,
  made_at_ms INTEGER NOT NULL,
  revoked_at_ms INTEGER
) STRICT;

-- An entry sent twice under one key is one fact.
CREATE TABLE entries (
  key TEXT PRIMARY KEY,
  kind TEXT NOT NULL,
  fact TEXT NOT NULL,
  at_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TRIGGER readings_stand BEFORE UPDATE OF id, machine, at_ms, hours, about, door, by, note, entered_at_ms ON readings
BEGIN SELECT RAISE(ABORT, 'a reading is voided, never edited'); END;
CREATE TRIGGER readings_stay BEFORE DELETE ON readings
BEGIN SELECT RAISE(ABORT, 'a reading is voided, never deleted'); END;
CREATE TRIGGER told_runs_stay BEFORE DELETE ON told_runs
BEGIN SELECT RAISE(ABORT, 'a told run is voided, never deleted'); END;
CREATE TRIGGER records_stand BEFORE UPDATE OF id, machine, visit, day, hours, hours_known, door, by, note, minutes, reading, entered_at_ms ON records
BEGIN SELECT RAISE(ABORT, 'a record is voided, never edited'); END;
CREATE TRIGGER records_stay BEFORE DELETE ON records
BEGIN SELECT RAISE(ABORT, 'a record is voided, never deleted'); END;
CREATE TRIGGER record_tasks_stand BEFORE UPDATE ON record_tasks
BEGIN SELECT RAISE(ABORT, 'a record is voided, never edited'); END;
CREATE TRIGGER record_tasks_stay BEFORE DELETE ON record_tasks
BEGIN SELECT RAISE(ABORT, 'a record is voided, never deleted'); END;
CREATE TRIGGER findings_stand BEFORE UPDATE ON findings
BEGIN SELECT RAISE(ABORT, 'a finding is voided with its record, never edited'); END;
CREATE TRIGGER findings_stay BEFORE DELETE ON findings
BEGIN SELECT RAISE(ABORT, 'a finding is voided with its record, never deleted'); END;
CREATE TRIGGER notices_stand BEFORE UPDATE ON notices
BEGIN SELECT RAISE(ABORT, 'a notice that was written stands'); END;
CREATE TRIGGER notices_stay BEFORE DELETE ON notices
BEGIN SELECT RAISE(ABORT, 'a notice that was written stands'); END;
CREATE TRIGGER answers_stand BEFORE UPDATE ON answers
BEGIN SELECT RAISE(ABORT, 'an answer stands; a later one may follow'); END;
CREATE TRIGGER answers_stay BEFORE DELETE ON answers
BEGIN SELECT RAISE(ABORT, 'an answer stands; a later one may follow'); END;
