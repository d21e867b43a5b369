-- A claim is open again, too, where the slip that took it over was corrected: it may not be the slip of this claim.
CREATE OR REPLACE FUNCTION app.guard_refund_claim() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF OLD.refund_slip_id IS NOT NULL AND (NEW.refused_at, NEW.withdrawn_at) IS NOT DISTINCT FROM (OLD.refused_at, OLD.withdrawn_at) AND NEW.refund_slip_id IS NULL AND EXISTS (
    SELECT FROM refund_slip r JOIN collection c ON c.tenant_id = r.tenant_id AND c.id = r.collection_id
     WHERE r.tenant_id = OLD.tenant_id AND r.id = OLD.refund_slip_id
       AND (c.state = 'discarded' OR EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id))) THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION 'refund claim % is not open', OLD.id USING ERRCODE = 'restrict_violation', CONSTRAINT = 'refund_claim_goes_forward';
END $$;
