-- Terms that go by the meters need what these imply. Where nobody records the meters of a machine, who bags its box types it then:
-- whoever opens the bag must not see it (25 CFR 543.17(g)(5)), so it waits here and not on paper.
ALTER TABLE collection_bag
  ADD COLUMN metered_minor bigint,
  ADD CONSTRAINT collection_bag_metered CHECK (metered_minor >= 0 AND (metered_minor IS NULL OR machine_id IS NOT NULL));
