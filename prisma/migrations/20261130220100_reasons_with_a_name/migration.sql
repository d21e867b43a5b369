-- Why a count at a machine, or what was read off a bag, was corrected is free text, and may name who was there.
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
  UNION ALL SELECT 'field_count', w.id::text, false FROM public.field_count w JOIN visit ON visit.id = w.collection_id WHERE w.tenant_id = app.current_tenant()
  UNION ALL SELECT 'collection_bag_correction', k.id::text, false FROM public.collection_bag g JOIN visit ON visit.id = g.collection_id
              JOIN public.collection_bag_correction k ON k.tenant_id = app.current_tenant() AND k.bag_id = g.id WHERE g.tenant_id = app.current_tenant()
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
