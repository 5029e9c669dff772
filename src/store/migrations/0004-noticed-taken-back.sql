-- What was noticed can be taken back like any other fact.
ALTER TABLE noticed ADD COLUMN voided_at_ms INTEGER;
ALTER TABLE noticed ADD COLUMN voided_by TEXT;
