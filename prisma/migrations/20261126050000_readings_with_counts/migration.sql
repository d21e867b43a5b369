-- Readings come with the counts of a collection and with its file, and are what counts are compared with.

-- A value that could not be and was sent back to be read again. It stays, since a value may be tried to find out what the
-- meter showed before; what is entered after it is taken.
CREATE TABLE meter_reading_try (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  meter_id    uuid NOT NULL,
  machine_id  uuid NOT NULL,
  happened_at timestamptz NOT NULL,
  value       bigint NOT NULL CHECK (value >= 0),
  tried_at    timestamptz NOT NULL,
  tried_by    text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT meter_reading_try_meter FOREIGN KEY (tenant_id, meter_id) REFERENCES meter (tenant_id, id),
  CONSTRAINT meter_reading_try_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id)
);
CREATE INDEX meter_reading_try_by_meter ON meter_reading_try (tenant_id, meter_id, tried_at);
CALL app.make_tenant_table('meter_reading_try', append_only => true, audited => true);

-- What the meters of the machine showed, by their labels.
ALTER TABLE import_row ADD COLUMN readings jsonb NOT NULL DEFAULT '{}' CHECK (jsonb_typeof(readings) = 'object');

-- since_at: the reading from which the expected amount counts; where a reading was missed it lies before the last emptying,
-- and counted_minor is the sum of the counts since. plays_minor: the price of the plays, a witness in no sum.
ALTER TABLE cash_variance
  ALTER COLUMN expected_minor DROP NOT NULL,
  ADD COLUMN source       text NOT NULL DEFAULT 'typed' CHECK (source IN ('typed', 'meters', 'audit-data')),
  ADD COLUMN unknown      text[] NOT NULL DEFAULT '{}' CHECK (unknown <@ ARRAY['not-read', 'first-reading', 'reset-or-wrong', 'above-ceiling']),
  ADD COLUMN since_at     timestamptz,
  ADD COLUMN counts       integer NOT NULL DEFAULT 1 CHECK (counts >= 1),
  ADD COLUMN plays_minor  bigint,
  ADD COLUMN left_out_for text CHECK (left_out_for IN ('break-in', 'outage')),
  ADD CONSTRAINT cash_variance_unknown CHECK ((expected_minor IS NULL) = (cardinality(unknown) > 0)),
  ADD CONSTRAINT cash_variance_not_judged CHECK (expected_minor IS NOT NULL OR NOT out_of_tolerance);

-- A flag may be raised for meters that cannot be right, and what was explained may get other figures afterwards.
ALTER TABLE variance_flag_event
  DROP CONSTRAINT variance_flag_event_kind_check,
  DROP CONSTRAINT variance_flag_event_reasons_check,
  ADD CONSTRAINT variance_flag_event_kind_check CHECK (kind IN ('raised', 'explained', 'changed')),
  ADD CONSTRAINT variance_flag_event_reasons_check CHECK (reasons <@ ARRAY['tolerance', 'steady-shortage', 'moving-average', 'always-zero', 'repeating', 'meters-implausible']);

-- Whether a break-in lies in an interval is asked for each count.
CREATE INDEX break_in_by_placement ON break_in (tenant_id, placement_id, happened_on);
