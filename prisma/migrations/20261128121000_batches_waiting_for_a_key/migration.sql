-- Statements wait where the key that signs them lies elsewhere and cannot be reached: since when, and what was said of it last.
ALTER TABLE work_batch
  ADD COLUMN key_missed_at timestamptz,
  ADD COLUMN key_missed text,
  ADD CONSTRAINT work_batch_key_missed CHECK ((key_missed_at IS NULL) = (key_missed IS NULL));
