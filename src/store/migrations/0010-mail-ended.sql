-- Who asked for no more mail, and when the household took that back at their wish. One standing wish a person.
CREATE TABLE mail_ended (
  id INTEGER PRIMARY KEY,
  person TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  taken_back_at_ms INTEGER
) STRICT;
CREATE UNIQUE INDEX mail_ended_standing ON mail_ended (person) WHERE taken_back_at_ms IS NULL;

CREATE TRIGGER mail_ended_stand BEFORE UPDATE OF id, person, at_ms ON mail_ended
BEGIN SELECT RAISE(ABORT, 'a wish is taken back, never edited'); END;
CREATE TRIGGER mail_ended_stay BEFORE DELETE ON mail_ended
BEGIN SELECT RAISE(ABORT, 'a wish is taken back, never deleted'); END;
