-- Who is signed in: the SHA-256 of the token that their browser holds, and what it opens.
CREATE TABLE sessions (
  hash TEXT PRIMARY KEY CHECK (length(hash) = 43),
  opens TEXT NOT NULL,
  expires_at_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
