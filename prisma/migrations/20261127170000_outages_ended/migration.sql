-- Who said that a machine worked again may have had a hand in a count of that time as much as who reported that it did not.
ALTER TABLE outage
  ADD COLUMN ended_by text,
  ADD CONSTRAINT outage_ended_by_somebody CHECK (ended_by IS NULL OR ended_at IS NOT NULL);
