-- Before a name is erased somebody reads the texts in which it stands, and has to know which of them mean this person: of each its
-- day, and what it is about.

-- A row as a document, with what it belongs to read into it, nearest first; null where it is no more.
CREATE FUNCTION app.image_of_row(of_table text, of_row text) RETURNS jsonb
  LANGUAGE plpgsql STABLE SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  target regclass := to_regclass(CASE WHEN position('.' IN of_table) > 0 THEN of_table ELSE 'public.' || of_table END);
  owner  record;
  image  jsonb;
  found  jsonb;
BEGIN
  IF target IS NULL OR (app.row_names(target)).condition IS NULL THEN
    RETURN NULL;
  END IF;
  EXECUTE format('SELECT to_jsonb(t) FROM %s t WHERE t.tenant_id = app.current_tenant() AND %s', target, (app.row_names(target)).condition) INTO image USING of_row;
  FOR step IN 1 .. 2 LOOP
    FOR owner IN
      SELECT * FROM (VALUES ('collection_id', 'collection'), ('visit_id', 'phone_visit'), ('import_file_id', 'import_file'), ('settlement_id', 'settlement'), ('open_item_id', 'open_item'),
        ('payment_id', 'payment'), ('write_off_id', 'write_off'), ('advance_id', 'advance'), ('agreement_id', 'agreement'), ('bank_detail_id', 'bank_detail'), ('tax_payment_id', 'tax_payment'),
        ('flag_id', 'variance_flag'), ('meter_id', 'meter'), ('fund_id', 'change_fund'), ('key_case_id', 'key_case'), ('key_inventory_id', 'key_inventory'), ('machine_lock_id', 'machine_lock')) AS o (key, name)
    LOOP
      IF image ->> owner.key IS NOT NULL THEN
        EXECUTE format('SELECT to_jsonb(t) FROM public.%I t WHERE t.tenant_id = app.current_tenant() AND t.id = $1', owner.name) INTO found USING (image ->> owner.key)::uuid;
        image := coalesce(found, '{}') || image;
      END IF;
    END LOOP;
  END LOOP;
  RETURN image;
END $$;

-- When a text was written, and the codes that people know of what it is about: keys, machine, site, statement, party. No other column
-- of the row is told: whoever reads this list need not be one who may read the row.
CREATE FUNCTION app.about_text(of_table text, of_column text, of_row text, OUT written_at timestamptz, OUT about text[])
  LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  image jsonb := app.image_of_row(of_table, of_row);
BEGIN
  IF of_table = 'audit_entry' THEN
    written_at := image ->> 'recorded_at';
    image := coalesce(app.image_of_row(image ->> 'table_name', image ->> 'row_id'), image -> 'after', image -> 'before');
  ELSE
    written_at := CASE
      WHEN of_column = 'closing_reason' THEN image ->> 'closed_at'
      WHEN of_column IN ('cancelled_because', 'cancel_reason') THEN image ->> 'cancelled_at'
      WHEN of_column = 'discarded_because' THEN image ->> 'discarded_at'
      WHEN of_column = 'revoked_because' THEN image ->> 'revoked_at'
      WHEN of_column = 'released_because' THEN image ->> 'released_at'
      WHEN of_column = 'removal_reason' THEN image ->> 'removal_recorded_at'
      WHEN of_column = 'taken_back_because' THEN image ->> 'taken_back_at' END;
    written_at := coalesce(written_at, (image ->> 'recorded_at')::timestamptz, (image ->> 'uploaded_at')::timestamptz, (image ->> 'received_at')::timestamptz, (image ->> 'ruled_at')::timestamptz,
      (image ->> 'granted_at')::timestamptz, (image ->> 'opened_at')::timestamptz, (image ->> 'proposed_at')::timestamptz, (image ->> 'registered_at')::timestamptz,
      (image ->> 'created_at')::timestamptz, (image ->> 'happened_at')::timestamptz, (image ->> 'raised_at')::timestamptz);
  END IF;
  about := ARRAY(
    SELECT DISTINCT ON (said.place, said.code) said.code FROM (
      SELECT 1 AS place, k.number AS code FROM public.custody_event_copy c JOIN public.key_copy k ON k.tenant_id = c.tenant_id AND k.id = c.key_copy_id
       WHERE of_table = 'custody_event' AND c.tenant_id = app.current_tenant() AND c.event_id = (image ->> 'id')::uuid
      UNION ALL SELECT 1, k.number FROM public.key_copy k WHERE k.tenant_id = app.current_tenant() AND k.id = (image ->> 'key_copy_id')::uuid
      UNION ALL SELECT 2, k.code FROM public.key_code k WHERE k.tenant_id = app.current_tenant() AND k.id = (image ->> 'key_code_id')::uuid
      UNION ALL SELECT 3, m.tag FROM public.machine m WHERE m.tenant_id = app.current_tenant() AND m.id = (image ->> 'machine_id')::uuid
      UNION ALL SELECT 4, s.code || ' ' || s.name FROM public.key_store s WHERE s.tenant_id = app.current_tenant() AND s.id = (image ->> 'key_store_id')::uuid
      UNION ALL SELECT 5, s.code || ' ' || s.name FROM public.site s WHERE s.tenant_id = app.current_tenant() AND s.id = (image ->> 'site_id')::uuid
      UNION ALL SELECT 6, t.code || ' ' || t.name FROM public.tax_area t WHERE t.tenant_id = app.current_tenant() AND t.id = (image ->> 'tax_area_id')::uuid
      UNION ALL SELECT 7, p.code || ' ' || p.name FROM public.party p WHERE p.tenant_id = app.current_tenant() AND p.id = (image ->> 'party_id')::uuid
      -- The code or number of the thing itself, or of what it belongs to: of an agreement, a statement, a lock.
      UNION ALL SELECT 8, own.code FROM (VALUES (image ->> 'number'), (image ->> 'tag'), (image ->> 'code')) AS own (code)) said
     WHERE said.code IS NOT NULL ORDER BY said.place, said.code);
END $$;
GRANT EXECUTE ON FUNCTION app.about_text(text, text, text) TO latchledger_app;

-- The same as before, for texts outside of the schema of the trade, too: after the address of an invitation was erased, the evidence log
-- could not be compared with the books any more.
CREATE OR REPLACE FUNCTION app.lasting_text(table_name text, column_name text, row_id text) RETURNS text
  LANGUAGE plpgsql STABLE SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  target regclass;
  said   text;
BEGIN
  SELECT c.place INTO target FROM app.erasable_texts() e
   CROSS JOIN LATERAL (SELECT to_regclass(CASE WHEN position('.' IN e.table_name) > 0 THEN e.table_name ELSE 'public.' || e.table_name END) AS place) c
   WHERE e.table_name = $1 AND e.column_name = $2
     AND (e.table_name IN ('key_case', 'key_inventory') OR EXISTS (SELECT FROM pg_trigger g WHERE g.tgrelid = c.place AND g.tgname = 'refuse_change'));
  IF target IS NOT NULL THEN
    EXECUTE format('SELECT t.%I::text FROM %s t WHERE t.tenant_id = app.current_tenant() AND %s', $2, target, (app.row_names(target)).condition) INTO said USING row_id;
  END IF;
  RETURN said;
END $$;
