-- Where a reading was missed, a count is compared with all counts since: not before each of them is accepted.
ALTER TABLE cash_variance
  DROP CONSTRAINT cash_variance_unknown_check,
  ADD CONSTRAINT cash_variance_unknown_check CHECK (unknown <@ ARRAY['not-read', 'first-reading', 'reset-or-wrong', 'above-ceiling', 'count-waits']);

-- Those that wait are asked for whenever a collection is accepted or discarded; there are few of them.
CREATE INDEX cash_variance_waiting ON cash_variance (tenant_id, machine_id) WHERE stands AND 'count-waits' = ANY (unknown);
