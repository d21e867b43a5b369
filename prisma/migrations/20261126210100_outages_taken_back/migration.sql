-- A wrong outage is taken back with a reason and stays on record; it explains nothing any more, and the machine may have been out
-- of order at another time instead.
ALTER TABLE outage
  ADD COLUMN taken_back_at timestamptz,
  ADD COLUMN taken_back_by text,
  ADD COLUMN taken_back_because text,
  ADD CONSTRAINT outage_taken_back_whole CHECK (num_nulls(taken_back_at, taken_back_by, taken_back_because) IN (0, 3)),
  DROP CONSTRAINT outage_one_at_a_time,
  ADD CONSTRAINT outage_one_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, machine_id WITH =, tstzrange(started_at, ended_at, '[)') WITH &&) WHERE (taken_back_at IS NULL);
CALL app.make_texts_erasable('outage', '{cause,remedy,taken_back_because}');
