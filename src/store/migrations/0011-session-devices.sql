-- On what somebody signed in, in words, and when; empty and 0 for sessions from before.
ALTER TABLE sessions ADD COLUMN device TEXT NOT NULL DEFAULT '' CHECK (length(device) <= 60);
ALTER TABLE sessions ADD COLUMN begun_at_ms INTEGER NOT NULL DEFAULT 0;
