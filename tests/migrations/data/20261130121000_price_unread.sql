-- A count whose expected amount nobody knows since a price changed unread, and the reason.
INSERT INTO cash_variance (tenant_id, id, collection_id, site_id, placement_id, machine_id, tender, revision, currency, happened_at, local_date, accounting_date,
                           expected_minor, counted_minor, rule_set_id, out_of_tolerance, left_out, sigmas, chart_sum, chart_average, average_limit, signals, recorded_at, source, unknown, since_at, stands)
SELECT tenant_id, '01890000-0000-7000-8000-000000001260', collection_id, site_id, placement_id, machine_id, 'cash', 2, currency, happened_at, local_date, accounting_date,
       NULL, counted_minor, rule_set_id, false, false, NULL, 0, 0, 0, '{}', '2026-01-06', 'meters', '{price-unread}', happened_at - interval '14 days', false
  FROM cash_variance WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000621';
INSERT INTO meter_not_read (tenant_id, id, meter_id, machine_id, happened_at, occasion, why, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000001261', '01890000-0000-7000-8000-000000000651', '01890000-0000-7000-8000-000000000015', '2026-01-09', 'price-change', 'display-dark', '2026-01-09', 'system:test');
