-- Erasing a name must not become a way of losing evidence. Only texts about what the person took part in change by
-- themselves; of all others somebody says which, from a list that was shown. Each changed text leaves a record, and each
-- record an entry in the evidence log, so that a text that was changed in any other way can be told from it.

-- A text that was changed: which, when, by whose erasing, and what it was and is, as SHA-256 of a salt and the text. The
-- digest before is the one that somebody holds already (of the evidence log, or of an earlier erasing) where there is one;
-- else its salt is forgotten at once, and the digest fixes the text without letting anybody guess at the name.
CREATE TABLE text_erasure (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL DEFAULT uuidv7(),
  person_id     uuid NOT NULL,
  table_name    text NOT NULL CHECK (table_name ~ '^([a-z_]+\.)?[a-z_]+$'),
  column_name   text NOT NULL CHECK (column_name ~ '^[a-z_]+$'),
  row_id        text NOT NULL CHECK (row_id <> ''),
  -- By itself, because the person took part in what the text is about; else because somebody confirmed it.
  took_part     boolean NOT NULL,
  before_digest bytea NOT NULL CHECK (length(before_digest) = 32),
  -- Null where nothing of the text is left.
  after_digest  bytea CHECK (length(after_digest) = 32),
  -- Kept until somebody else's name is taken out of the same text: what was there in between must not be guessed at.
  after_salt    bytea CHECK (length(after_salt) = 16),
  erased_at     timestamptz NOT NULL,
  erased_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT text_erasure_once UNIQUE (tenant_id, person_id, table_name, column_name, row_id),
  CONSTRAINT text_erasure_person FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT text_erasure_salt_of_what_is_left CHECK (after_digest IS NOT NULL OR after_salt IS NULL)
);
CREATE INDEX text_erasure_of_text ON text_erasure (tenant_id, table_name, column_name, row_id);
CALL app.make_tenant_table('text_erasure', append_only => true, audited => false);
-- One function writes it.
REVOKE INSERT ON text_erasure FROM latchledger_app;

-- What is left of an erased reason gets a salt of its own, under which it is vouched for from then on.
ALTER TABLE custody_event DROP CONSTRAINT custody_event_salt_goes_with_reason;

-- Which texts there are. -----------------------------------------------------------------------------------------------

-- Under way, only these texts may change, and what is kept beside them; nothing may go.
CREATE OR REPLACE FUNCTION app.only_texts_change() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  free text[] := TG_ARGV[0]::text[] || TG_ARGV[1]::text[];
BEGIN
  IF TG_OP = 'UPDATE' AND to_jsonb(OLD) - free = to_jsonb(NEW) - free THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION '% on "%" is refused', TG_OP, TG_TABLE_NAME
    USING ERRCODE = 'LL001', SCHEMA = TG_TABLE_SCHEMA, TABLE = TG_TABLE_NAME, HINT = 'A name is erased from texts; all else stays.';
END $$;

-- Names may be taken out of these columns. A table with reasons or notes calls it once, with all of them:
--   CALL app.make_texts_erasable('refund_slip', '{reason}');
CREATE PROCEDURE app.make_texts_erasable(target regclass, columns text[], beside text[] DEFAULT '{}')
  LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  changing text[] := beside || CASE WHEN EXISTS (SELECT FROM pg_trigger g WHERE g.tgrelid = target AND g.tgname = 'count_revision') THEN '{revision}'::text[] ELSE '{}' END;
BEGIN
  EXECUTE format('DROP TRIGGER IF EXISTS only_texts_change ON %s', target);
  EXECUTE format('CREATE TRIGGER only_texts_change BEFORE UPDATE OR DELETE ON %s FOR EACH ROW WHEN (app.is_erasing()) EXECUTE FUNCTION app.only_texts_change(%L, %L)', target, columns, changing);
  EXECUTE format('ALTER TABLE %s ENABLE ALWAYS TRIGGER only_texts_change', target);
  IF EXISTS (SELECT FROM pg_trigger g WHERE g.tgrelid = target AND g.tgname = 'refuse_change') THEN
    EXECUTE format('DROP TRIGGER refuse_change ON %s', target);
    EXECUTE format('CREATE TRIGGER refuse_change BEFORE UPDATE OR DELETE ON %s FOR EACH STATEMENT WHEN (NOT app.is_erasing()) EXECUTE FUNCTION app.refuse_change()', target);
    EXECUTE format('ALTER TABLE %s ENABLE ALWAYS TRIGGER refuse_change', target);
  END IF;
END $$;

DO $$
DECLARE
  target record;
BEGIN
  FOR target IN SELECT e.table_name, array_agg(e.column_name) AS columns FROM app.erasable_texts() e GROUP BY e.table_name LOOP
    CALL app.make_texts_erasable(target.table_name::regclass, target.columns, CASE target.table_name WHEN 'custody_event' THEN '{reason_salt,reason_erased_at}'::text[] ELSE '{}' END);
  END LOOP;
END $$;
CALL app.make_texts_erasable('audit_entry', '{before,after}');
CALL app.make_texts_erasable('meter_reading', '{reason}');
CALL app.make_texts_erasable('outage', '{cause,remedy}');
CALL app.make_texts_erasable('variance_flag_event', '{cause,evidence}');
CALL app.make_texts_erasable('tax_rule', '{reason,source}');
CALL app.make_texts_erasable('law_limit', '{source}');
CALL app.make_texts_erasable('meter', '{label}');
CALL app.make_texts_erasable('scale_check', '{scale}');
CALL app.make_texts_erasable('counter_board', '{label}');
CALL app.make_texts_erasable('import_file', '{file_name}');
CALL app.make_texts_erasable('import_error', '{value}');
CALL app.make_texts_erasable('advance', '{reason,document}');
CALL app.make_texts_erasable('advance_reduction', '{reason,document}');
CALL app.make_texts_erasable('payment', '{reference}');
CALL app.make_texts_erasable('tax_payment', '{reference}');
CALL app.make_texts_erasable('tax_return', '{note,reference}');
CALL app.make_texts_erasable('identity.api_token', '{name}');
CALL app.make_texts_erasable('identity.one_use_link', '{email}');
CALL app.make_texts_erasable('text_erasure', '{}', '{after_salt}');

-- Free text, by table. Figures, codes and what is hashed as a whole (the inputs of settlements, which name people by code) are not among it.
CREATE OR REPLACE FUNCTION app.erasable_texts() RETURNS TABLE (table_name text, column_name text)
  LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp AS $$
  SELECT CASE n.nspname WHEN 'public' THEN c.relname ELSE n.nspname || '.' || c.relname END, unnest(split_part(encode(g.tgargs, 'escape'), '\000', 1)::text[])
    FROM pg_trigger g JOIN pg_class c ON c.oid = g.tgrelid JOIN pg_namespace n ON n.oid = c.relnamespace
   WHERE g.tgname = 'only_texts_change' $$;
GRANT EXECUTE ON FUNCTION app.erasable_texts() TO latchledger_app, latchledger_reader;

-- How the rows of a table are named by one text, and found by it ($1).
CREATE FUNCTION app.row_names(target regclass, OUT name text, OUT condition text) LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp AS $$
  SELECT string_agg(format('t.%I::text', a.attname), ' || ''/'' || ' ORDER BY a.place),
         string_agg(format('t.%I = split_part($1, ''/'', %s)::%s', a.attname, a.place, a.type), ' AND ' ORDER BY a.place)
    FROM (SELECT a.attname, format_type(a.atttypid, a.atttypmod) AS type, row_number() OVER (ORDER BY k.place) AS place
            FROM pg_constraint c CROSS JOIN LATERAL unnest(c.conkey) WITH ORDINALITY AS k (attnum, place)
            JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = k.attnum
           WHERE c.conrelid = target AND c.contype = 'p' AND a.attname <> 'tenant_id') a $$;
GRANT EXECUTE ON FUNCTION app.row_names(regclass) TO latchledger_app;

-- A text as it is now where nobody may change it any more but by erasing; null for every other, and where there is none.
CREATE FUNCTION app.lasting_text(table_name text, column_name text, row_id text) RETURNS text
  LANGUAGE plpgsql STABLE SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  target regclass;
  said   text;
BEGIN
  SELECT to_regclass('public.' || e.table_name) INTO target FROM app.erasable_texts() e
   WHERE e.table_name = $1 AND e.column_name = $2
     AND (e.table_name IN ('key_case', 'key_inventory') OR EXISTS (SELECT FROM pg_trigger g WHERE g.tgrelid = to_regclass('public.' || e.table_name) AND g.tgname = 'refuse_change'));
  IF target IS NOT NULL THEN
    EXECUTE format('SELECT t.%I::text FROM %s t WHERE t.tenant_id = app.current_tenant() AND %s', $2, target, (app.row_names(target)).condition) INTO said USING row_id;
  END IF;
  RETURN said;
END $$;
GRANT EXECUTE ON FUNCTION app.lasting_text(text, text, text) TO latchledger_app;

-- Whose texts they are. ------------------------------------------------------------------------------------------------

-- An image of the audit trail, however deep, without what a pattern finds.
CREATE OR REPLACE FUNCTION app.image_without(image jsonb, pattern text) RETURNS jsonb LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS $$
  SELECT CASE jsonb_typeof(image)
    WHEN 'string' THEN to_jsonb(regexp_replace(image #>> '{}', pattern, '[erased]', 'gi'))
    WHEN 'array' THEN (SELECT coalesce(jsonb_agg(app.image_without(value, pattern) ORDER BY place), '[]') FROM jsonb_array_elements(image) WITH ORDINALITY AS e (value, place))
    WHEN 'object' THEN (SELECT coalesce(jsonb_object_agg(key, app.image_without(value, pattern)), '{}') FROM jsonb_each(image))
    ELSE image END $$;

-- Rows that a person took part in. `closely`: of the person's keys, where a single word of the name means nobody else.
CREATE FUNCTION app.rows_with_person(who uuid) RETURNS TABLE (table_name text, row_id text, closely boolean)
  LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp AS $$
  WITH event AS (
    SELECT e.id FROM public.custody_event e WHERE e.tenant_id = app.current_tenant() AND (e.from_person_id = who OR e.to_person_id = who)
    UNION SELECT a.event_id FROM public.custody_acknowledgement a WHERE a.tenant_id = app.current_tenant() AND a.person_id = who
    -- A key goes missing from whoever had it: the report itself names nobody.
    UNION SELECT gone.event_id FROM public.custody gone
            JOIN public.custody had ON had.tenant_id = app.current_tenant() AND had.key_copy_id = gone.key_copy_id AND had.held_to = gone.held_from
           WHERE gone.tenant_id = app.current_tenant() AND gone.state = 'missing' AND had.person_id = who
  ), lost AS (
    SELECT DISTINCT c.key_case_id AS id FROM public.key_case_copy c JOIN event ON event.id = c.event_id WHERE c.tenant_id = app.current_tenant()
  ), visit AS (
    SELECT c.id FROM public.collection c WHERE c.tenant_id = app.current_tenant() AND c.collected_by = who
    UNION SELECT f.collection_id FROM public.field_count f WHERE f.tenant_id = app.current_tenant() AND f.counted_by = who
  )
  SELECT 'custody_event', id::text, true FROM event
  UNION ALL SELECT 'key_case', id::text, true FROM lost
  UNION ALL SELECT 'key_case_step', s.id::text, true FROM public.key_case_step s JOIN lost ON lost.id = s.key_case_id WHERE s.tenant_id = app.current_tenant()
  UNION ALL SELECT 'key_exception', x.id::text, false FROM public.key_exception x WHERE x.tenant_id = app.current_tenant() AND x.person_id = who
  UNION ALL SELECT 'key_place', p.id::text, false FROM public.key_place p WHERE p.tenant_id = app.current_tenant() AND p.responsible_person_id = who
  UNION ALL SELECT 'outage', o.id::text, false FROM public.outage o WHERE o.tenant_id = app.current_tenant() AND o.reported_by = who
  UNION ALL SELECT 'collection', id::text, false FROM visit
  UNION ALL SELECT 'box_count', b.id::text, false FROM public.box_count b JOIN visit ON visit.id = b.collection_id WHERE b.tenant_id = app.current_tenant()
  UNION ALL SELECT 'cash_handed', h.id::text, false FROM public.cash_handed h JOIN visit ON visit.id = h.collection_id WHERE h.tenant_id = app.current_tenant()
  UNION ALL SELECT 'cashless_taking', t.id::text, false FROM public.cashless_taking t JOIN visit ON visit.id = t.collection_id WHERE t.tenant_id = app.current_tenant()
  UNION ALL SELECT 'refund_slip', r.id::text, false FROM public.refund_slip r JOIN visit ON visit.id = r.collection_id WHERE r.tenant_id = app.current_tenant()
  UNION ALL SELECT 'collection_key_holder', k.id::text, false FROM public.collection_key_holder k
             WHERE k.tenant_id = app.current_tenant() AND (k.person_id = who OR k.collection_id IN (SELECT id FROM visit))
  UNION ALL SELECT 'meter_reading', m.id::text, false FROM public.meter_reading m
             WHERE m.tenant_id = app.current_tenant() AND (m.read_by = who OR m.collection_id IN (SELECT id FROM visit))
  UNION ALL SELECT 'variance_flag_event', e.id::text, false FROM public.variance_flag f JOIN visit ON visit.id = f.collection_id
              JOIN public.variance_flag_event e ON e.tenant_id = app.current_tenant() AND e.flag_id = f.id WHERE f.tenant_id = app.current_tenant()
  UNION ALL SELECT 'identity.one_use_link', l.id::text, true FROM identity.one_use_link l WHERE l.tenant_id = app.current_tenant() AND l.person_id = who $$;

-- What to look for. `whole`: the name in either order, and the address; `closely`: any word of three letters of the name as
-- well. A name of one word may mean anybody and anything: it counts as a word alone.
CREATE FUNCTION app.patterns_of_person(who uuid, OUT whole text, OUT elsewhere text, OUT closely text) LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp AS $$
  WITH named AS (
    SELECT w.words, cardinality(w.words) AS count, CASE WHEN p.email IS NOT NULL THEN app.pattern_of_words(ARRAY[p.email]) END AS address,
           (SELECT string_agg(app.pattern_of_words(ARRAY[word]), '|') FROM unnest(w.words) AS word WHERE length(word) >= 3) AS single
      FROM public.person p CROSS JOIN LATERAL (SELECT regexp_split_to_array(btrim(p.name), '[\s,]+') AS words) w
     WHERE p.tenant_id = app.current_tenant() AND p.id = who AND p.erased_at IS NULL
  ), full_name AS (
    SELECT single, nullif(concat_ws('|', CASE WHEN count > 1 THEN app.pattern_of_words(words) || '|' || app.pattern_of_words(words[count:count] || words[1:count - 1]) END, address), '') AS whole, count FROM named
  )
  SELECT whole, nullif(CASE WHEN count > 1 THEN whole ELSE concat_ws('|', whole, single) END, ''), nullif(concat_ws('|', whole, single), '') FROM full_name $$;

-- The texts that name a person, what would be left of each, and whether the person took part in what it is about.
CREATE FUNCTION app.texts_naming(person_id uuid)
  RETURNS TABLE (table_name text, column_name text, row_id text, said text, remaining text, took_part boolean)
  LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  never  CONSTANT text := '(?=a)b';
  named  record;
  near   text[];
  part   text[];
  target record;
BEGIN
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
               WHERE t.tenant_id = app.current_tenant() AND m.clear ~* p.pattern) found
       WHERE found.remaining <> found.said$query$,
      target.name, target.text, target.row_name,
      CASE WHEN target.is_image THEN format('app.image_without(t.%I, p.pattern)::text', target.text) ELSE format('regexp_replace(t.%I, p.pattern, ''[erased]'', ''gi'')', target.text) END,
      target.place, target.about,
      -- What JSON writes for the end of a line would look like a letter before a word.
      CASE WHEN target.is_image THEN format('regexp_replace(t.%I::text, ''\\[bfnrt]'', '' '', ''g'')', target.text) ELSE format('t.%I', target.text) END)
      USING coalesce(named.whole, never), coalesce(named.elsewhere, never), named.closely, near, part;
  END LOOP;
END $$;
GRANT EXECUTE ON FUNCTION app.texts_naming(uuid) TO latchledger_app;

-- Erasing. -------------------------------------------------------------------------------------------------------------

DROP FUNCTION app.erase_person_texts(uuid, timestamptz);

-- The salt under which somebody holds a digest of a text already; a new one, which is then forgotten, where nobody does.
CREATE FUNCTION app.salt_of_text(of_table text, of_column text, of_row text) RETURNS bytea
  LANGUAGE sql VOLATILE SET search_path = pg_catalog, pg_temp AS $$
  SELECT CASE
    WHEN of_table = 'custody_event' THEN (SELECT coalesce(e.reason_salt, '') FROM public.custody_event e WHERE e.tenant_id = app.current_tenant() AND e.id = of_row::uuid)
    WHEN earlier.id IS NOT NULL THEN earlier.after_salt
    -- The entry of a reversal holds the digest of the reason alone.
    WHEN of_table = 'settlement_reversal' THEN ''::bytea
    ELSE uuid_send(gen_random_uuid()) END
    FROM (SELECT) one
    LEFT JOIN LATERAL (SELECT x.id, x.after_salt FROM public.text_erasure x
                        WHERE x.tenant_id = app.current_tenant() AND x.table_name = of_table AND x.column_name = of_column AND x.row_id = of_row ORDER BY x.id DESC LIMIT 1) earlier ON true $$;

-- Takes a person's name and address out of one text, and records that.
CREATE FUNCTION app.erase_text(person_id uuid, erased_at timestamptz, target record) RETURNS public.text_erasure
  LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  place       regclass := CASE WHEN position('.' IN target.table_name) > 0 THEN target.table_name ELSE 'public.' || target.table_name END;
  before_salt bytea := app.salt_of_text(target.table_name, target.column_name, target.row_id);
  after_salt  bytea := uuid_send(gen_random_uuid());
  changed     integer;
  erased      public.text_erasure;
BEGIN
  EXECUTE format('UPDATE %s t SET %I = %s%s WHERE t.tenant_id = app.current_tenant() AND %s AND t.%2$I::text = $3',
    place, target.column_name,
    CASE WHEN target.table_name = 'audit_entry' THEN '$2::jsonb' ELSE '$2' END,
    CASE WHEN target.table_name = 'custody_event' THEN ', reason_salt = $4, reason_erased_at = $5' ELSE '' END,
    (app.row_names(place)).condition)
    USING target.row_id, target.remaining, target.said, after_salt, erased_at;
  GET DIAGNOSTICS changed = ROW_COUNT;
  IF changed <> 1 THEN
    -- Somebody wrote another text meanwhile: the whole transaction is done again.
    RAISE EXCEPTION 'a text of "%" was changed meanwhile', target.table_name USING ERRCODE = 'serialization_failure';
  END IF;
  UPDATE public.text_erasure x SET after_salt = NULL
   WHERE x.tenant_id = app.current_tenant() AND x.table_name = target.table_name AND x.column_name = target.column_name AND x.row_id = target.row_id AND x.after_salt IS NOT NULL;
  INSERT INTO public.text_erasure (tenant_id, person_id, table_name, column_name, row_id, took_part, before_digest, after_digest, after_salt, erased_at, erased_by)
  VALUES (app.current_tenant(), person_id, target.table_name, target.column_name, target.row_id, target.took_part,
          sha256(before_salt || convert_to(target.said, 'UTF8')), sha256(after_salt || convert_to(target.remaining, 'UTF8')), after_salt, erased_at, app.current_actor())
  RETURNING * INTO erased;
  RETURN erased;
END $$;

-- Takes a person's name and address out of the texts about what they took part in and out of those that are confirmed
-- (`table/column/row`), with what the audit trail shows of these, and erases their signatures. Gives what it recorded.
CREATE FUNCTION app.erase_person_texts(person_id uuid, erased_at timestamptz, confirmed text[]) RETURNS SETOF public.text_erasure
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  began          CONSTANT uuid := uuidv7();
  confirmed_rows CONSTANT text[] := ARRAY(SELECT regexp_replace(key, '^([^/]+)/[^/]+/', '\1/') FROM unnest(confirmed) AS key);
  named          record;
  target         record;
  said           text[] := '{}';
  remaining      text[] := '{}';
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
  END LOOP;
  -- What these changes themselves left in the trail.
  UPDATE public.audit_entry a SET before = app.image_without(a.before, named.closely), after = app.image_without(a.after, named.closely)
   WHERE a.tenant_id = app.current_tenant() AND a.id > began AND a.action = 'update' AND a.actor = app.current_actor() AND a.request_id IS NOT DISTINCT FROM app.current_request();
  -- Answers that are kept for repeated requests repeat the texts, and say who a person is whose id they give.
  FOR kept IN SELECT r.actor, r.key, r.body FROM public.idempotency_record r WHERE r.tenant_id = app.current_tenant() AND r.body ~* named.closely LOOP
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
GRANT EXECUTE ON FUNCTION app.erase_person_texts(uuid, timestamptz, text[]) TO latchledger_app;
-- Nobody else takes a signature away.
REVOKE UPDATE ON custody_signature FROM latchledger_app;
