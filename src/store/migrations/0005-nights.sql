-- How cold each day was at home, by the household's thermometer: one row a day, ten years at most.
CREATE TABLE nights (
  day TEXT PRIMARY KEY,
  celsius REAL NOT NULL CHECK (celsius BETWEEN -60 AND 60)
) STRICT, WITHOUT ROWID;
