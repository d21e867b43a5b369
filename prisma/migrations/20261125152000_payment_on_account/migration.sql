-- What of a payment is put on account, or taken off it again, after it was recorded: above zero the next settlement sets
-- more of it off, below zero less. A payment recorded on account begins with all of its amount there, any other with nothing.
CREATE TABLE payment_shift (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  payment_id      uuid NOT NULL,
  amount_minor    bigint NOT NULL CHECK (amount_minor <> 0),
  accounting_date date NOT NULL,
  note            text,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, payment_id) REFERENCES payment (tenant_id, id)
);
CREATE INDEX payment_shift_by_payment ON payment_shift (tenant_id, payment_id);

-- The first of these payments of which more is matched and on account than there is, or less than nothing of either.
CREATE FUNCTION app.exceeded_payment(tenant uuid, payments uuid[]) RETURNS uuid LANGUAGE plpgsql STABLE SET search_path = public, pg_temp AS $$
DECLARE
  wrong uuid;
BEGIN
  EXECUTE $query$
    SELECT p.id FROM payment p
     CROSS JOIN LATERAL (
       SELECT (SELECT coalesce(sum(m.amount_minor), 0) FROM payment_match m WHERE m.tenant_id = p.tenant_id AND m.payment_id = p.id) AS matched,
              CASE p.kind WHEN 'on-account' THEN p.amount_minor ELSE 0 END
            + (SELECT coalesce(sum(s.amount_minor), 0) FROM payment_shift s WHERE s.tenant_id = p.tenant_id AND s.payment_id = p.id) AS on_account) u
     WHERE p.tenant_id = $1 AND p.id = ANY ($2)
       AND (u.on_account < 0 OR u.matched NOT BETWEEN least(0, p.amount_minor) AND greatest(0, p.amount_minor)
            OR u.matched + u.on_account NOT BETWEEN least(0, p.amount_minor) AND greatest(0, p.amount_minor)) LIMIT 1 $query$ INTO wrong USING tenant, payments;
  RETURN wrong;
END $$;
GRANT EXECUTE ON FUNCTION app.exceeded_payment(uuid, uuid[]) TO latchledger_app;

-- What was written off counts in, and what is on account settles no item.
CREATE OR REPLACE FUNCTION app.guard_payment_match() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  wrong uuid;
BEGIN
  PERFORM FROM agreement a WHERE (a.tenant_id, a.id) IN (SELECT tenant_id, agreement_id FROM written) ORDER BY a.id FOR NO KEY UPDATE;
  SELECT app.exceeded_item(of.tenant_id, of.items) INTO wrong
    FROM (SELECT w.tenant_id, array_agg(w.open_item_id) AS items FROM written w GROUP BY w.tenant_id) of
   WHERE app.exceeded_item(of.tenant_id, of.items) IS NOT NULL LIMIT 1;
  IF wrong IS NOT NULL THEN
    RAISE EXCEPTION 'open item % would be settled beyond its amount', wrong USING ERRCODE = 'check_violation', CONSTRAINT = 'open_item_not_exceeded';
  END IF;
  SELECT app.exceeded_payment(of.tenant_id, of.payments) INTO wrong
    FROM (SELECT w.tenant_id, array_agg(w.payment_id) AS payments FROM written w GROUP BY w.tenant_id) of
   WHERE app.exceeded_payment(of.tenant_id, of.payments) IS NOT NULL LIMIT 1;
  IF wrong IS NOT NULL THEN
    RAISE EXCEPTION 'payment % would be matched beyond its amount', wrong USING ERRCODE = 'check_violation', CONSTRAINT = 'payment_not_exceeded';
  END IF;
  RETURN NULL;
END $$;

CREATE FUNCTION app.guard_payment_shift() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM FROM agreement a JOIN payment p ON p.tenant_id = a.tenant_id AND p.agreement_id = a.id WHERE p.tenant_id = NEW.tenant_id AND p.id = NEW.payment_id FOR NO KEY UPDATE OF a;
  IF app.exceeded_payment(NEW.tenant_id, ARRAY[NEW.payment_id]) IS NOT NULL THEN
    RAISE EXCEPTION 'payment % would be on account beyond its amount', NEW.payment_id USING ERRCODE = 'check_violation', CONSTRAINT = 'payment_not_exceeded';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER payment_shift_guard AFTER INSERT ON payment_shift FOR EACH ROW EXECUTE FUNCTION app.guard_payment_shift();

CALL app.make_tenant_table('payment_shift', append_only => true, audited => false);
