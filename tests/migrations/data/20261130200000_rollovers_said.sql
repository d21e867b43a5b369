-- A reading of which a second person says that the meter passed its last value, and a count that waits for such a word.
INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, value, replaces_id, reason, passed_end, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000002001', meter_id, machine_id, capacity, happened_at, phase, occasion, value, id, 'it passed 99999', true, '2026-01-09', 'system:test'
  FROM meter_reading r WHERE tenant_id = app.current_tenant() AND replaces_id IS NULL AND value IS NOT NULL
   AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id) ORDER BY id LIMIT 1;
INSERT INTO cash_variance (tenant_id, id, collection_id, site_id, placement_id, machine_id, tender, revision, currency, happened_at, local_date, accounting_date,
                           expected_minor, counted_minor, rule_set_id, out_of_tolerance, left_out, sigmas, chart_sum, chart_average, average_limit, signals, recorded_at, source, unknown, since_at, stands)
SELECT tenant_id, '01890000-0000-7000-8000-000000002002', collection_id, site_id, placement_id, machine_id, 'cash', 3, currency, happened_at, local_date, accounting_date,
       NULL, counted_minor, rule_set_id, false, false, NULL, 0, 0, 0, '{}', '2026-01-06', 'meters', '{rollover-or-reset}', happened_at - interval '14 days', false
  FROM cash_variance WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000621';
