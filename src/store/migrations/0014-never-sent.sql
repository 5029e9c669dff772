-- A letter that ended without going out: given up after days, or withdrawn because it no longer said what is true. Its state is
-- 'refused' then. What it said counts as not said, unless a copy of it went another way.
ALTER TABLE outbox ADD COLUMN never_sent TEXT CHECK (never_sent IN ('given-up', 'withdrawn'));
CREATE INDEX outbox_never_sent ON outbox (id) WHERE never_sent IS NOT NULL;
CREATE INDEX outbox_copies ON outbox (copy_of) WHERE copy_of IS NOT NULL;
