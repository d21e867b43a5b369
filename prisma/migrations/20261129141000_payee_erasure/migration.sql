-- Who a payee was is erased once nothing is open with them and the time is over for which the law asks to keep it: name, address,
-- e-mail, bank accounts and taxpayer numbers. Their code, what was settled and paid, and issued statements stay as they are.
ALTER TABLE party ADD COLUMN erased_at timestamptz;
ALTER TABLE bank_detail ADD COLUMN erased_at timestamptz,
  ADD CONSTRAINT bank_detail_erased CHECK (erased_at IS NULL OR (sealed_account = '' AND ending = ''));
GRANT SELECT (erased_at) ON bank_detail TO latchledger_reader;

CALL app.make_removable('bank_detail');
CALL app.make_removable('bank_detail_event');
CALL app.make_removable('taxpayer_number');
DROP TRIGGER audit_row ON taxpayer_number;
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON taxpayer_number FOR EACH ROW WHEN (NOT app.is_removing()) EXECUTE FUNCTION app.audit_row('{id}', '{sealed_number}');

-- An image of the audit trail without what tells who a payee was.
CREATE FUNCTION app.image_of_nobody(image jsonb) RETURNS jsonb LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS $$
  SELECT coalesce(jsonb_object_agg(key, CASE WHEN key IN ('name', 'address', 'email', 'ending', 'reason') AND value <> 'null' THEN '"[erased]"'::jsonb ELSE value END), '{}')
    FROM jsonb_each(image) HAVING image IS NOT NULL $$;

-- Whoever calls it has asked whether it may be done; a hold stops it here, too. A text out of which somebody's name was taken before is
-- vouched for as it is then, and stays so.
CREATE FUNCTION app.erase_party(of_party uuid, at timestamptz) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  was      public.party;
  accounts text[] := ARRAY(SELECT d.id::text FROM public.bank_detail d WHERE d.tenant_id = app.current_tenant() AND d.party_id = of_party);
  numbers  text[] := ARRAY(SELECT n.id::text FROM public.taxpayer_number n WHERE n.tenant_id = app.current_tenant() AND n.party_id = of_party);
  said     text;
BEGIN
  SELECT * INTO was FROM public.party p WHERE p.tenant_id = app.current_tenant() AND p.id = of_party FOR UPDATE;
  PERFORM set_config('app.removing', 'on', true);
  UPDATE public.party p SET name = 'Erased', address = '{}', email = NULL, erased_at = at WHERE p.tenant_id = app.current_tenant() AND p.id = of_party;
  UPDATE public.bank_detail d SET sealed_account = '', ending = '', erased_at = at,
         reason = CASE WHEN EXISTS (SELECT FROM public.text_erasure x WHERE x.tenant_id = d.tenant_id AND x.table_name = 'bank_detail' AND x.row_id = d.id::text) THEN d.reason ELSE '[erased]' END
   WHERE d.tenant_id = app.current_tenant() AND d.party_id = of_party AND d.erased_at IS NULL;
  UPDATE public.bank_detail_event e SET reason = '[erased]'
   WHERE e.tenant_id = app.current_tenant() AND e.bank_detail_id::text = ANY (accounts) AND e.reason IS NOT NULL
     AND NOT EXISTS (SELECT FROM public.text_erasure x WHERE x.tenant_id = e.tenant_id AND x.table_name = 'bank_detail_event' AND x.row_id = e.bank_detail_id || '/' || e.kind);
  DELETE FROM public.taxpayer_number n WHERE n.tenant_id = app.current_tenant() AND n.party_id = of_party;
  -- What these changes left in the trail is among it.
  UPDATE public.audit_entry a SET before = app.image_of_nobody(a.before), after = app.image_of_nobody(a.after)
   WHERE a.tenant_id = app.current_tenant()
     AND (a.table_name, a.row_id) IN (SELECT 'party', of_party::text UNION ALL SELECT 'bank_detail', unnest(accounts) UNION ALL SELECT 'taxpayer_number', unnest(numbers)
       UNION ALL SELECT 'bank_detail_event', account || '/' || kind FROM unnest(accounts) AS account CROSS JOIN unnest('{confirmed,rejected,withdrawn}'::text[]) AS kind)
     AND NOT EXISTS (SELECT FROM public.text_erasure x WHERE x.tenant_id = a.tenant_id AND x.table_name = 'audit_entry' AND x.row_id = a.id::text);
  -- Answers that are kept for repeated requests say who the payee was whose id they give.
  FOREACH said IN ARRAY array_remove(was.name || was.address || was.email, NULL) LOOP
    UPDATE public.idempotency_record r SET body = replace(r.body, to_json(said)::text, '"[erased]"')
     WHERE r.tenant_id = app.current_tenant() AND position(of_party::text IN r.body) > 0 AND position(to_json(said)::text IN r.body) > 0;
  END LOOP;
  UPDATE public.idempotency_record r SET body = regexp_replace(r.body, '"ending":"[^"]*"', '"ending":""', 'g')
   WHERE r.tenant_id = app.current_tenant() AND position(of_party::text IN r.body) > 0 AND r.body ~ '"ending":"';
  PERFORM set_config('app.removing', '', true);
  PERFORM app.refuse_while_held();
END $$;
GRANT EXECUTE ON FUNCTION app.erase_party(uuid, timestamptz) TO latchledger_app;
