-- A price may have changed at a moment whose first entry was put elsewhere since: it is another entry of that moment, numbered by `entry`.
ALTER TABLE meter_value_correction DROP CONSTRAINT meter_value_correction_of, DROP CONSTRAINT meter_value_correction_round;
ALTER TABLE meter_value ADD COLUMN entry integer NOT NULL DEFAULT 0 CHECK (entry >= 0), DROP CONSTRAINT meter_value_pkey;
ALTER TABLE meter_value ADD CONSTRAINT meter_value_pkey PRIMARY KEY (tenant_id, meter_id, effective_at, entry);
ALTER TABLE meter_value_correction
  ADD COLUMN entry integer NOT NULL DEFAULT 0,
  ADD CONSTRAINT meter_value_correction_round UNIQUE (tenant_id, meter_id, first_effective_at, entry, round),
  ADD CONSTRAINT meter_value_correction_of FOREIGN KEY (tenant_id, meter_id, first_effective_at, entry) REFERENCES meter_value (tenant_id, meter_id, effective_at, entry);

-- That a change was entered anew, after it had been taken back, nobody gives a reason for: whoever reads it is told so in their own language.
ALTER TABLE meter_value_correction
  ALTER COLUMN reason DROP NOT NULL,
  ADD CONSTRAINT meter_value_correction_withdrawn_why CHECK (reason IS NOT NULL OR NOT withdrawn);
ALTER TABLE meter_value_correction DISABLE TRIGGER refuse_change;
CALL app.for_each_tenant($$
  UPDATE meter_value_correction SET reason = NULL WHERE tenant_id = app.current_tenant() AND NOT withdrawn AND reason = 'Entered anew, after it had been taken back.'$$);
ALTER TABLE meter_value_correction ENABLE ALWAYS TRIGGER refuse_change;
COMMENT ON COLUMN meter_value_correction.reason IS 'Null of one that enters a change anew which had been taken back.';
