-- The address to which somebody was invited says who they are, whether or not their name stands in it: it goes as a whole, as
-- signatures do, of open invitations and of those that were used or withdrawn.

-- The texts that name a person, what would be left of each, and whether the person took part in what it is about. Of an address to
-- which the person was invited nothing is left.
CREATE OR REPLACE FUNCTION app.texts_naming(person_id uuid)
  RETURNS TABLE (table_name text, column_name text, row_id text, said text, remaining text, took_part boolean)
  LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  never  CONSTANT text := '(?=a)b';
  named  record;
  near   text[];
  part   text[];
  target record;
BEGIN
  RETURN QUERY
    SELECT 'identity.one_use_link', 'email', l.id::text, l.email, '[erased]', true
      FROM identity.one_use_link l JOIN public.person p ON p.tenant_id = l.tenant_id AND p.id = l.person_id
     WHERE l.tenant_id = app.current_tenant() AND l.person_id = texts_naming.person_id AND p.erased_at IS NULL AND l.email <> '[erased]';
  SELECT * INTO named FROM app.patterns_of_person(person_id);
  IF named.closely IS NULL THEN
    RETURN;
  END IF;
  near := ARRAY(SELECT DISTINCT r.table_name || '/' || r.row_id FROM app.rows_with_person(person_id) r WHERE r.closely);
  part := ARRAY(SELECT DISTINCT r.table_name || '/' || r.row_id FROM app.rows_with_person(person_id) r WHERE NOT r.closely);
  FOR target IN
    SELECT e.table_name AS name, e.column_name AS text, c.place, (app.row_names(c.place)).name AS row_name, a.atttypid = 'jsonb'::regtype AS is_image,
           -- An image belongs to the row that it shows.
           CASE e.table_name WHEN 'audit_entry' THEN 't.table_name || ''/'' || t.row_id' ELSE format('%L || ''/'' || %s', e.table_name, (app.row_names(c.place)).name) END AS about
      FROM app.erasable_texts() e
      CROSS JOIN LATERAL (SELECT CASE WHEN position('.' IN e.table_name) > 0 THEN e.table_name ELSE 'public.' || e.table_name END::regclass AS place) c
      JOIN pg_attribute a ON a.attrelid = c.place AND a.attname = e.column_name
  LOOP
    RETURN QUERY EXECUTE format($query$
      SELECT %1$L, %2$L, found.row_id, found.said, found.remaining, found.took_part
        FROM (SELECT %3$s AS row_id, t.%2$I::text AS said, s.near OR (s.part AND m.clear ~* $1) AS took_part, %4$s AS remaining
                FROM %5$s t
                CROSS JOIN LATERAL (SELECT %6$s AS about, %7$s AS clear) m
                CROSS JOIN LATERAL (SELECT m.about = ANY ($4) AS near, m.about = ANY ($5) AS part) s
                CROSS JOIN LATERAL (SELECT CASE WHEN s.near THEN $3 ELSE $2 END AS pattern) p
               WHERE t.tenant_id = app.current_tenant() AND m.clear ~* p.pattern AND NOT (s.near AND %1$L = 'identity.one_use_link')) found
       WHERE found.remaining <> found.said$query$,
      target.name, target.text, target.row_name,
      CASE WHEN target.is_image THEN format('app.image_without(t.%I, p.pattern)::text', target.text) ELSE format('regexp_replace(t.%I, p.pattern, ''[erased]'', ''gi'')', target.text) END,
      target.place, target.about,
      -- What JSON writes for the end of a line would look like a letter before a word.
      CASE WHEN target.is_image THEN format('regexp_replace(t.%I::text, ''\\[bfnrt]'', '' '', ''g'')', target.text) ELSE format('t.%I', target.text) END)
      USING coalesce(named.whole, never), coalesce(named.elsewhere, never), named.closely, near, part;
  END LOOP;
END $$;

-- Takes a person's name and address out of the texts about what they took part in and out of those that are confirmed
-- (`table/column/row`), with what the audit trail shows of these, and erases their signatures. Gives what it recorded.
CREATE OR REPLACE FUNCTION app.erase_person_texts(person_id uuid, erased_at timestamptz, confirmed text[]) RETURNS SETOF public.text_erasure
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  began          CONSTANT uuid := uuidv7();
  confirmed_rows CONSTANT text[] := ARRAY(SELECT regexp_replace(key, '^([^/]+)/[^/]+/', '\1/') FROM unnest(confirmed) AS key);
  named          record;
  target         record;
  said           text[] := '{}';
  remaining      text[] := '{}';
  addresses      text[] := '{}';
  kept           record;
BEGIN
  SELECT p.name, f.* INTO named FROM public.person p CROSS JOIN LATERAL app.patterns_of_person(p.id) f WHERE p.tenant_id = app.current_tenant() AND p.id = person_id;
  PERFORM set_config('app.erasing', 'on', true);
  FOR target IN
    SELECT n.* FROM app.texts_naming(person_id) n
     WHERE n.took_part OR n.table_name || '/' || n.column_name || '/' || n.row_id = ANY (confirmed)
        OR CASE n.table_name WHEN 'audit_entry' THEN EXISTS (SELECT FROM public.audit_entry a WHERE a.tenant_id = app.current_tenant() AND a.id = n.row_id::uuid AND a.table_name || '/' || a.row_id = ANY (confirmed_rows)) END
     ORDER BY n.table_name, n.row_id, n.column_name
  LOOP
    RETURN NEXT app.erase_text(person_id, erased_at, target);
    IF target.table_name <> 'audit_entry' THEN
      said := said || to_json(target.said)::text;
      remaining := remaining || to_json(target.remaining)::text;
    END IF;
    IF target.table_name = 'identity.one_use_link' THEN
      addresses := addresses || to_json(target.said)::text;
    END IF;
  END LOOP;
  -- What these changes themselves left in the trail.
  UPDATE public.audit_entry a SET before = app.image_without(a.before, named.closely), after = app.image_without(a.after, named.closely)
   WHERE a.tenant_id = app.current_tenant() AND a.id > began AND a.action = 'update' AND a.actor = app.current_actor() AND a.request_id IS NOT DISTINCT FROM app.current_request();
  -- Answers that are kept for repeated requests repeat the texts, and say who a person is whose id they give.
  FOR kept IN
    SELECT r.actor, r.key, r.body FROM public.idempotency_record r
     WHERE r.tenant_id = app.current_tenant() AND (r.body ~* named.closely OR EXISTS (SELECT FROM unnest(addresses) AS address WHERE position(address IN r.body) > 0))
  LOOP
    FOR place IN 1 .. cardinality(said) LOOP
      kept.body := replace(kept.body, said[place], remaining[place]);
    END LOOP;
    IF position(person_id::text IN kept.body) > 0 THEN
      kept.body := replace(kept.body, to_json(named.name)::text, '"[erased]"');
      kept.body := CASE WHEN named.whole IS NULL THEN kept.body ELSE regexp_replace(kept.body, named.whole, '[erased]', 'gi') END;
    END IF;
    UPDATE public.idempotency_record r SET body = kept.body WHERE r.tenant_id = app.current_tenant() AND r.actor = kept.actor AND r.key = kept.key AND r.body <> kept.body;
  END LOOP;
  PERFORM set_config('app.erasing', '', true);

  RETURN QUERY
    WITH signed AS (
      UPDATE public.custody_signature s SET signed_name = NULL, signature = NULL, salt = NULL, erased_at = erase_person_texts.erased_at, erased_by = app.current_actor()
        FROM public.custody_acknowledgement a
       WHERE s.tenant_id = app.current_tenant() AND a.tenant_id = app.current_tenant() AND a.event_id = s.event_id AND a.side = s.side
         AND a.person_id = erase_person_texts.person_id AND s.erased_at IS NULL
      RETURNING s.event_id, s.side, s.digest)
    INSERT INTO public.text_erasure AS x (tenant_id, person_id, table_name, column_name, row_id, took_part, before_digest, erased_at, erased_by)
    SELECT app.current_tenant(), erase_person_texts.person_id, 'custody_signature', 'signature', event_id || '/' || side, true, digest, erase_person_texts.erased_at, app.current_actor()
      FROM signed RETURNING x.*;
END $$;

-- Of whoever is erased already. The audit trail never held these addresses, and is not told of this.
ALTER TABLE identity.one_use_link DISABLE TRIGGER audit_row;
CALL app.for_each_tenant($$
  UPDATE identity.one_use_link l SET email = '[erased]' FROM person p
   WHERE l.tenant_id = app.current_tenant() AND p.tenant_id = l.tenant_id AND p.id = l.person_id AND p.erased_at IS NOT NULL$$);
ALTER TABLE identity.one_use_link ENABLE TRIGGER audit_row;
