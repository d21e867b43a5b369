-- Whether the signature of each statement carries a time stamp; statements wait where the authority gives none: since when, and what was said of it last.
ALTER TABLE operator ADD COLUMN statements_stamped boolean NOT NULL DEFAULT false;
ALTER TABLE work_batch
  ADD COLUMN stamp_missed_at timestamptz,
  ADD COLUMN stamp_missed text,
  ADD CONSTRAINT work_batch_stamp_missed CHECK ((stamp_missed_at IS NULL) = (stamp_missed IS NULL)),
  ADD CONSTRAINT work_batch_misses_one CHECK (key_missed_at IS NULL OR stamp_missed_at IS NULL);
