-- A payee that pays more than it owes has money on account as well: the next settlement sets it off in the payee's favour.
-- Whatever stands on account is of the sign of its payment.
ALTER TABLE payment DROP CONSTRAINT payment_on_account_to_payee;

-- The first of these payments of which more is matched and on account than there is, or less than nothing of either.
CREATE OR REPLACE FUNCTION app.exceeded_payment(tenant uuid, payments uuid[]) RETURNS uuid LANGUAGE plpgsql STABLE SET search_path = public, pg_temp AS $$
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
       AND (u.on_account NOT BETWEEN least(0, p.amount_minor) AND greatest(0, p.amount_minor)
            OR u.matched NOT BETWEEN least(0, p.amount_minor) AND greatest(0, p.amount_minor)
            OR u.matched + u.on_account NOT BETWEEN least(0, p.amount_minor) AND greatest(0, p.amount_minor)) LIMIT 1 $query$ INTO wrong USING tenant, payments;
  RETURN wrong;
END $$;
