-- The day under which the books have a settlement: its period's last one, or a later one where the settlement is made anew and
-- the one before it is taken back later than that. Between the two days the books would hold both otherwise, or neither.
ALTER TABLE settlement ADD COLUMN accounting_date date;

-- Every one that was numbered until now is in the journal under its period's last day.
ALTER TABLE settlement DISABLE TRIGGER settlement_is_immutable;
CALL app.for_each_tenant($$UPDATE settlement SET accounting_date = ends_before - 1 WHERE tenant_id = app.current_tenant() AND number IS NOT NULL$$);
ALTER TABLE settlement ENABLE TRIGGER settlement_is_immutable;

ALTER TABLE settlement ADD CONSTRAINT settlement_booked_when_numbered
  CHECK ((number IS NULL) = (accounting_date IS NULL) AND (accounting_date IS NULL OR accounting_date >= ends_before - 1));

-- What was never in the books before a day is not taken back before it either.
CREATE OR REPLACE FUNCTION app.guard_settlement_reversal() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  wrong record;
BEGIN
  EXECUTE $query$
    SELECT w.settlement_id, s.state, w.accounting_date, s.accounting_date AS booked_on
      FROM written w JOIN settlement s ON s.tenant_id = w.tenant_id AND s.id = w.settlement_id
     WHERE s.state <> 'issued' OR w.accounting_date < s.accounting_date LIMIT 1 $query$ INTO wrong;
  IF wrong.state <> 'issued' THEN
    RAISE EXCEPTION 'settlement % is not issued and cannot be reversed', wrong.settlement_id
      USING ERRCODE = 'check_violation', CONSTRAINT = 'settlement_reversal_of_issued';
  ELSIF wrong.settlement_id IS NOT NULL THEN
    RAISE EXCEPTION 'settlement % is in the books from % on and cannot be reversed on %', wrong.settlement_id, wrong.booked_on, wrong.accounting_date
      USING ERRCODE = 'check_violation', CONSTRAINT = 'settlement_reversal_not_before';
  END IF;
  RETURN NULL;
END $$;
