-- Settlements are reversed now and then settled anew.

-- A change after issue is free again when the settlement that took it in is reversed. `round` counts, as with payments on
-- account: a mark of an earlier round was made in vain.
ALTER TABLE late_change_settled ADD COLUMN round integer NOT NULL DEFAULT 1 CHECK (round >= 1);
ALTER TABLE late_change_settled ALTER COLUMN round DROP DEFAULT;
ALTER TABLE late_change_settled DROP CONSTRAINT late_change_settled_pkey;
ALTER TABLE late_change_settled ADD PRIMARY KEY (tenant_id, late_change_id, round);

CREATE FUNCTION app.guard_late_change_settled() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  twice uuid;
BEGIN
  EXECUTE $query$
    SELECT w.late_change_id
      FROM written w JOIN late_change_settled d ON d.tenant_id = w.tenant_id AND d.late_change_id = w.late_change_id AND d.round <> w.round
     WHERE NOT EXISTS (SELECT FROM settlement_reversal r WHERE r.tenant_id = d.tenant_id AND r.settlement_id = d.settlement_id)
     LIMIT 1 $query$ INTO twice;
  IF twice IS NOT NULL THEN
    RAISE EXCEPTION 'late change % is settled already', twice USING ERRCODE = 'check_violation', CONSTRAINT = 'late_change_settled_once';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER late_change_settled_guard AFTER INSERT ON late_change_settled
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.guard_late_change_settled();

-- What has no statement yet is recomputed or reopened, or waits until it has one.
CREATE FUNCTION app.guard_settlement_reversal() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  early uuid;
BEGIN
  EXECUTE $query$
    SELECT w.settlement_id FROM written w JOIN settlement s ON s.tenant_id = w.tenant_id AND s.id = w.settlement_id
     WHERE s.state <> 'issued' LIMIT 1 $query$ INTO early;
  IF early IS NOT NULL THEN
    RAISE EXCEPTION 'settlement % is not issued and cannot be reversed', early
      USING ERRCODE = 'check_violation', CONSTRAINT = 'settlement_reversal_of_issued';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER settlement_reversal_guard AFTER INSERT ON settlement_reversal
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.guard_settlement_reversal();

-- Who took an issued settlement back stands where whoever checks the books looks first.
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON settlement_reversal
  FOR EACH ROW EXECUTE FUNCTION app.audit_row('{id}', '{}');
