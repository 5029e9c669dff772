-- What is ticked and typed on an open bench sheet, field by field, so that two devices at one machine see each other's.
CREATE TABLE sheet_marks (
  visit TEXT NOT NULL,
  field TEXT NOT NULL,
  -- JSON: true or false of a tick, else a text.
  value TEXT NOT NULL CHECK (json_valid(value)),
  at_ms INTEGER NOT NULL,
  PRIMARY KEY (visit, field)
) STRICT, WITHOUT ROWID;
