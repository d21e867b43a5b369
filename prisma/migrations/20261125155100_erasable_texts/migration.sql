-- People write names into reasons and notes. When somebody's data is erased (Regulation (EU) 2016/679, article 17), the name
-- goes out of these texts, and nothing else of them changes. One function does it; to everybody else the tables stay as
-- append-only as they were.

-- The evidence log holds a digest of an event's reason. The salt keeps a name from being guessed until its digest fits, and
-- goes with it; what is left of the text then stands for itself, and all else of the event is still vouched for.
ALTER TABLE custody_event
  ADD COLUMN reason_salt bytea CHECK (length(reason_salt) = 16),
  ADD COLUMN reason_erased_at timestamptz,
  ADD CONSTRAINT custody_event_salt_goes_with_reason CHECK (reason_erased_at IS NULL OR reason_salt IS NULL);

-- Whether the function below is at work: it runs as the owner of the tables, and says so for its own transaction.
CREATE FUNCTION app.is_erasing() RETURNS boolean LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp
  RETURN coalesce(current_setting('app.erasing', true), '') = 'on' AND current_user = 'latchledger_owner';
GRANT EXECUTE ON FUNCTION app.is_erasing() TO latchledger_app, latchledger_relay, latchledger_reader, latchledger_backup;

-- Free text, by table. Figures, codes and what is hashed as a whole (the inputs of settlements, which name people by code) are not among it.
ALTER TABLE person ADD COLUMN erased_at timestamptz;

CREATE FUNCTION app.erasable_texts() RETURNS TABLE (table_name text, column_name text)
  LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS $$
  SELECT t.name, c.name FROM (VALUES
    ('advance', '{reason}'::text[]), ('advance_reduction', '{reason}'), ('agreement_version', '{reason}'), ('box_count', '{reason}'),
    ('break_in', '{accounting_reason,note,reason}'), ('cash_handed', '{reason}'), ('cashless_taking', '{reason}'),
    ('collection', '{accounting_reason}'), ('collection_key_holder', '{reason}'), ('custody_event', '{reason}'),
    ('journal_period_event', '{reason}'), ('key_case', '{reason,closing_reason}'), ('key_case_step', '{note}'),
    ('key_exception', '{label,reason}'), ('key_inventory', '{reason,closing_reason}'), ('key_inventory_discrepancy', '{note}'),
    ('key_inventory_surplus', '{note}'), ('key_place', '{name}'), ('key_store', '{name}'), ('machine_lock', '{removal_reason}'),
    ('open_item_event', '{note}'), ('payment_match', '{note}'), ('payment_return', '{reason}'), ('payment_shift', '{note}'),
    ('policy', '{reason}'), ('refund_slip', '{reason}'), ('settlement_event', '{note}'), ('settlement_reversal', '{reason}'),
    ('tax_payment_return', '{reason}'), ('tax_return', '{note}'), ('write_off', '{reason}'), ('write_off_undo', '{reason}')
  ) AS t (name, columns), unnest(t.columns) AS c (name) $$;

-- Under way, only these texts may change, and nothing may go.
CREATE FUNCTION app.only_texts_change() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  IF TG_OP = 'UPDATE' AND to_jsonb(OLD) - TG_ARGV[0]::text[] = to_jsonb(NEW) - TG_ARGV[0]::text[] THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION '% on "%" is refused', TG_OP, TG_TABLE_NAME
    USING ERRCODE = 'LL001', SCHEMA = TG_TABLE_SCHEMA, TABLE = TG_TABLE_NAME, HINT = 'A name is erased from texts; all else stays.';
END $$;

DO $$
DECLARE
  target record;
BEGIN
  FOR target IN
    SELECT e.table_name AS name, array_agg(e.column_name) || CASE e.table_name WHEN 'custody_event' THEN '{reason_salt,reason_erased_at}'::text[] ELSE '{}' END
           || CASE WHEN EXISTS (SELECT FROM pg_trigger g WHERE g.tgrelid = e.table_name::regclass AND g.tgname = 'count_revision') THEN '{revision}'::text[] ELSE '{}' END AS columns
      FROM (SELECT * FROM app.erasable_texts() UNION ALL VALUES ('audit_entry', 'before'), ('audit_entry', 'after')) e GROUP BY e.table_name
  LOOP
    EXECUTE format('CREATE TRIGGER only_texts_change BEFORE UPDATE OR DELETE ON %I FOR EACH ROW WHEN (app.is_erasing()) EXECUTE FUNCTION app.only_texts_change(%L)', target.name, target.columns);
    EXECUTE format('ALTER TABLE %I ENABLE ALWAYS TRIGGER only_texts_change', target.name);
    IF EXISTS (SELECT FROM pg_trigger g WHERE g.tgrelid = target.name::regclass AND g.tgname = 'refuse_change') THEN
      EXECUTE format('DROP TRIGGER refuse_change ON %I', target.name);
      EXECUTE format('CREATE TRIGGER refuse_change BEFORE UPDATE OR DELETE ON %I FOR EACH STATEMENT WHEN (NOT app.is_erasing()) EXECUTE FUNCTION app.refuse_change()', target.name);
      EXECUTE format('ALTER TABLE %I ENABLE ALWAYS TRIGGER refuse_change', target.name);
    END IF;
  END LOOP;
END $$;

DROP TRIGGER key_case_guard ON key_case;
CREATE TRIGGER key_case_guard BEFORE UPDATE OR DELETE ON key_case FOR EACH ROW WHEN (NOT app.is_erasing()) EXECUTE FUNCTION app.guard_key_case();
DROP TRIGGER key_inventory_guard ON key_inventory;
CREATE TRIGGER key_inventory_guard BEFORE UPDATE OR DELETE ON key_inventory FOR EACH ROW WHEN (NOT app.is_erasing()) EXECUTE FUNCTION app.guard_key_inventory();
DROP TRIGGER collection_is_accepted ON collection;
CREATE TRIGGER collection_is_accepted BEFORE UPDATE OR DELETE ON collection
  FOR EACH ROW WHEN (OLD.state = 'accepted' AND NOT app.is_erasing()) EXECUTE FUNCTION app.guard_accepted_collection();

-- What to look for: some words in this order, with any space between them, not within a longer word.
CREATE FUNCTION app.pattern_of_words(words text[]) RETURNS text LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp
  RETURN '(?<!\w)' || array_to_string(ARRAY(SELECT regexp_replace(word, '([^[:alnum:]])', '\\\1', 'g') FROM unnest(words) WITH ORDINALITY AS w (word, place) ORDER BY place), '[\s,]+') || '(?!\w)';

-- The texts of an image in the audit trail, without a name.
CREATE FUNCTION app.image_without(image jsonb, pattern text) RETURNS jsonb LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp
  RETURN (SELECT jsonb_object_agg(key, CASE jsonb_typeof(value) WHEN 'string' THEN to_jsonb(regexp_replace(value #>> '{}', pattern, '[erased]', 'gi')) ELSE value END) FROM jsonb_each(image));

-- Takes a person's name, in either order, and address out of every free text of the operator, and each single word of the
-- name out of the reasons of events that the person took part in and of the cases that came of them: elsewhere the same
-- word may mean somebody else. Gives how many texts were changed. What the changes themselves leave in the trail goes, too.
CREATE FUNCTION app.erase_person_texts(person_id uuid, erased_at timestamptz) RETURNS integer
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  words   text[];
  whole   text;
  single  text;
  events  uuid[];
  cases   uuid[];
  target  record;
  changed integer;
  total   integer := 0;
BEGIN
  SELECT regexp_split_to_array(btrim(p.name), '[\s,]+'), app.pattern_of_words(regexp_split_to_array(btrim(p.name), '[\s,]+')) || CASE WHEN p.email IS NULL THEN '' ELSE '|' || app.pattern_of_words(ARRAY[p.email]) END
    INTO words, whole FROM public.person p WHERE p.tenant_id = app.current_tenant() AND p.id = person_id;
  IF words IS NULL THEN
    RETURN 0;
  END IF;
  IF cardinality(words) = 1 THEN
    -- One word may mean anybody and anything: it goes out of the texts about what the person took part in, nowhere else.
    SELECT coalesce(app.pattern_of_words(ARRAY[p.email]), '(?=a)b') INTO whole FROM public.person p WHERE p.tenant_id = app.current_tenant() AND p.id = person_id;
  END IF;
  IF cardinality(words) > 1 THEN
    whole := whole || '|' || app.pattern_of_words(words[cardinality(words):cardinality(words)] || words[1:cardinality(words) - 1]);
  END IF;
  SELECT string_agg(app.pattern_of_words(ARRAY[word]), '|') INTO single FROM unnest(words) AS w (word) WHERE length(word) >= 3;
  events := ARRAY(SELECT e.id FROM public.custody_event e WHERE e.tenant_id = app.current_tenant() AND (e.from_person_id = person_id OR e.to_person_id = person_id)
                   UNION SELECT a.event_id FROM public.custody_acknowledgement a WHERE a.tenant_id = app.current_tenant() AND a.person_id = erase_person_texts.person_id);
  -- A key goes missing from whoever had it: the report itself names nobody.
  events := events || ARRAY(SELECT gone.event_id FROM public.custody gone JOIN public.custody had
                                ON had.tenant_id = app.current_tenant() AND had.key_copy_id = gone.key_copy_id AND had.held_to = gone.held_from
                             WHERE gone.tenant_id = app.current_tenant() AND gone.state = 'missing' AND had.person_id = erase_person_texts.person_id);
  cases := ARRAY(SELECT DISTINCT c.key_case_id FROM public.key_case_copy c WHERE c.tenant_id = app.current_tenant() AND c.event_id = ANY (events));

  PERFORM set_config('app.erasing', 'on', true);
  IF single IS NOT NULL THEN
    -- Answers that are kept for repeated requests repeat these texts.
    FOR target IN
      SELECT to_json(said.text)::text AS before, to_json(regexp_replace(regexp_replace(said.text, whole, '[erased]', 'gi'), single, '[erased]', 'gi'))::text AS after
        FROM (SELECT e.reason FROM public.custody_event e WHERE e.tenant_id = app.current_tenant() AND e.id = ANY (events)
              UNION SELECT unnest(ARRAY[k.reason, k.closing_reason]) FROM public.key_case k WHERE k.tenant_id = app.current_tenant() AND k.id = ANY (cases)
              UNION SELECT p.note FROM public.key_case_step p WHERE p.tenant_id = app.current_tenant() AND p.key_case_id = ANY (cases)) AS said (text)
       WHERE said.text ~* single OR said.text ~* whole
    LOOP
      UPDATE public.idempotency_record SET body = replace(body, target.before, target.after) WHERE tenant_id = app.current_tenant() AND position(target.before IN body) > 0;
    END LOOP;
  END IF;
  FOR target IN SELECT t.table_name AS name, t.column_name AS text, CASE t.table_name WHEN 'custody_event' THEN ', reason_salt = NULL, reason_erased_at = $2' ELSE '' END AS more FROM app.erasable_texts() t LOOP
    EXECUTE format('UPDATE public.%I SET %I = regexp_replace(%2$I, $1, ''[erased]'', ''gi'') %s WHERE tenant_id = app.current_tenant() AND %2$I ~* $1 AND $2 IS NOT NULL', target.name, target.text, target.more)
      USING whole, erased_at;
    GET DIAGNOSTICS changed = ROW_COUNT;
    total := total + changed;
  END LOOP;
  UPDATE public.audit_entry SET before = app.image_without(before, whole), after = app.image_without(after, whole)
   WHERE tenant_id = app.current_tenant() AND (before::text ~* whole OR after::text ~* whole);
  IF single IS NOT NULL THEN
    UPDATE public.custody_event SET reason = regexp_replace(reason, single, '[erased]', 'gi'), reason_salt = NULL, reason_erased_at = erased_at
     WHERE tenant_id = app.current_tenant() AND id = ANY (events) AND reason ~* single;
    GET DIAGNOSTICS changed = ROW_COUNT;
    total := total + changed;
    UPDATE public.key_case SET reason = regexp_replace(reason, single, '[erased]', 'gi'), closing_reason = regexp_replace(closing_reason, single, '[erased]', 'gi')
     WHERE tenant_id = app.current_tenant() AND id = ANY (cases) AND (reason ~* single OR closing_reason ~* single);
    GET DIAGNOSTICS changed = ROW_COUNT;
    total := total + changed;
    UPDATE public.key_case_step SET note = regexp_replace(note, single, '[erased]', 'gi') WHERE tenant_id = app.current_tenant() AND key_case_id = ANY (cases) AND note ~* single;
    GET DIAGNOSTICS changed = ROW_COUNT;
    total := total + changed;
    UPDATE public.audit_entry SET before = app.image_without(before, single), after = app.image_without(after, single)
     WHERE tenant_id = app.current_tenant() AND table_name = 'key_case' AND row_id = ANY (cases::text[]) AND (before::text ~* single OR after::text ~* single);
  END IF;
  UPDATE public.idempotency_record SET body = regexp_replace(body, whole, '[erased]', 'gi') WHERE tenant_id = app.current_tenant() AND body ~* whole;
  PERFORM set_config('app.erasing', '', true);
  RETURN total;
END $$;
GRANT EXECUTE ON FUNCTION app.erase_person_texts(uuid, timestamptz) TO latchledger_app;
