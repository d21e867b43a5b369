-- Who answers for a hook or key safe, as dated as who keeps a store. It was one column that was written over, so that naming a
-- successor changed who could have opened last month.
CREATE TABLE key_place_responsible (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  key_place_id    uuid NOT NULL,
  person_id       uuid NOT NULL,
  -- Null for the first: keys may have hung there before the place was written down, and nobody else is known of.
  started_at      timestamptz,
  ended_at        timestamptz,
  recorded_at     timestamptz NOT NULL,
  end_recorded_at timestamptz,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, key_place_id) REFERENCES key_place (tenant_id, id),
  CONSTRAINT key_place_responsible_person FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT key_place_responsible_times CHECK (ended_at > started_at),
  CONSTRAINT key_place_responsible_ends_once CHECK ((ended_at IS NULL) = (end_recorded_at IS NULL)),
  CONSTRAINT key_place_responsible_one_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, key_place_id WITH =, tstzrange(started_at, ended_at, '[)') WITH &&)
);
CREATE INDEX key_place_responsible_by_place ON key_place_responsible (tenant_id, key_place_id);
CREATE INDEX key_place_responsible_by_person ON key_place_responsible (tenant_id, person_id);

-- Before the trail watches the table: nobody decided anything today.
CALL app.for_each_tenant($$
  INSERT INTO key_place_responsible (tenant_id, id, key_place_id, person_id, recorded_at)
  SELECT tenant_id, uuidv7(), id, responsible_person_id, created_at FROM key_place WHERE tenant_id = app.current_tenant()$$);
CALL app.make_tenant_table('key_place_responsible', append_only => false, audited => true);
REVOKE DELETE ON key_place_responsible FROM latchledger_app;
ALTER TABLE key_place DROP COLUMN responsible_person_id;

-- At every moment somebody answers for every place.
CREATE FUNCTION app.refuse_place_without_responsible() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  place uuid := CASE TG_TABLE_NAME WHEN 'key_place' THEN to_jsonb(NEW) ->> 'id' ELSE to_jsonb(NEW) ->> 'key_place_id' END;
BEGIN
  IF (SELECT range_agg(tstzrange(r.started_at, r.ended_at, '[)')) FROM key_place_responsible r WHERE r.tenant_id = NEW.tenant_id AND r.key_place_id = place)
     IS DISTINCT FROM tstzmultirange(tstzrange(NULL, NULL)) THEN
    RAISE EXCEPTION 'there are moments at which nobody answers for key place %', place
      USING ERRCODE = 'check_violation', CONSTRAINT = 'key_place_answered_for';
  END IF;
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER key_place_answered_for AFTER INSERT ON key_place
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION app.refuse_place_without_responsible();
CREATE CONSTRAINT TRIGGER key_place_answered_for AFTER INSERT OR UPDATE ON key_place_responsible
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION app.refuse_place_without_responsible();

-- What was once known stays: an open time may get its end, once.
CREATE FUNCTION app.guard_place_responsible() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  as_it_was key_place_responsible;
BEGIN
  IF TG_OP = 'UPDATE' AND OLD.ended_at IS NULL AND NEW.ended_at IS NOT NULL THEN
    as_it_was := NEW;
    as_it_was.ended_at := NULL;
    as_it_was.end_recorded_at := NULL;
    IF as_it_was IS NOT DISTINCT FROM OLD THEN
      RETURN NEW;
    END IF;
  END IF;
  RAISE EXCEPTION 'who answered for key place % stays', OLD.key_place_id
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'key_place_responsible_stays_as_known';
END $$;
CREATE TRIGGER key_place_responsible_stays_as_known BEFORE UPDATE OR DELETE ON key_place_responsible
  FOR EACH ROW EXECUTE FUNCTION app.guard_place_responsible();

-- Rows that a person took part in. `closely`: of the person's keys, where a single word of the name means nobody else.
CREATE OR REPLACE FUNCTION app.rows_with_person(who uuid) RETURNS TABLE (table_name text, row_id text, closely boolean)
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
  ), sent AS (
    SELECT v.id FROM public.phone_visit v JOIN public.collector_device d ON d.tenant_id = app.current_tenant() AND d.id = v.device_id
     WHERE v.tenant_id = app.current_tenant() AND d.person_id = who
    UNION SELECT v.id FROM public.phone_visit v JOIN visit ON visit.id = v.collection_id WHERE v.tenant_id = app.current_tenant()
  )
  SELECT 'custody_event', id::text, true FROM event
  UNION ALL SELECT 'key_case', id::text, true FROM lost
  UNION ALL SELECT 'key_case_step', s.id::text, true FROM public.key_case_step s JOIN lost ON lost.id = s.key_case_id WHERE s.tenant_id = app.current_tenant()
  UNION ALL SELECT 'key_exception', x.id::text, false FROM public.key_exception x WHERE x.tenant_id = app.current_tenant() AND x.person_id = who
  UNION ALL SELECT DISTINCT 'key_place', r.key_place_id::text, false FROM public.key_place_responsible r WHERE r.tenant_id = app.current_tenant() AND r.person_id = who
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
  UNION ALL SELECT 'collection_round', r.id::text, false FROM public.collection_round r WHERE r.tenant_id = app.current_tenant() AND r.collector_id = who
  UNION ALL SELECT 'collector_device', d.id::text, false FROM public.collector_device d WHERE d.tenant_id = app.current_tenant() AND d.person_id = who
  UNION ALL SELECT 'phone_visit', id::text, false FROM sent
  UNION ALL SELECT 'phone_visit_ruling', g.visit_id::text, false FROM public.phone_visit_ruling g JOIN sent ON sent.id = g.visit_id WHERE g.tenant_id = app.current_tenant()
  UNION ALL SELECT 'identity.one_use_link', l.id::text, true FROM identity.one_use_link l WHERE l.tenant_id = app.current_tenant() AND l.person_id = who $$;
