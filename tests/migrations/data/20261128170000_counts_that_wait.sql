-- A count that waits for an older one.
INSERT INTO cash_variance (tenant_id, id, collection_id, site_id, placement_id, machine_id, tender, revision, currency, happened_at, local_date, accounting_date,
                           expected_minor, counted_minor, rule_set_id, out_of_tolerance, left_out, sigmas, chart_sum, chart_average, average_limit, signals, recorded_at, source, unknown, since_at)
SELECT tenant_id, '01890000-0000-7000-8000-000000000664', collection_id, site_id, placement_id, machine_id, 'note', 1, currency, happened_at, local_date, accounting_date,
       NULL, counted_minor, rule_set_id, false, false, NULL, 0, 0, 0, '{}', '2026-01-06', 'meters', '{count-waits}', happened_at - interval '14 days'
  FROM cash_variance WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000621';
