-- A mechanical counter beside the electronic one, and a variance that knows of both.
INSERT INTO meter (tenant_id, id, board_id, machine_id, label, tender, digits, capacity, currency, most_per_hour, second_of) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000661', '01890000-0000-7000-8000-000000000650', '01890000-0000-7000-8000-000000000015', 'Coins, mechanical', 'coin', 6, 1000000, 'EUR', 100, '01890000-0000-7000-8000-000000000651');
INSERT INTO tolerance_rule_set (tenant_id, id, name, currency, effective_on, amount_minor, percent, joined_by, percent_of, out_when, counters_apart_minor, recorded_at, recorded_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000662', 'With two counters', 'USD', '2026-01-03', 2500, 3, 'and', 'metered', 'more-than', 500, '2026-01-05', 'system:test';
INSERT INTO cash_variance (tenant_id, id, collection_id, site_id, placement_id, machine_id, tender, revision, currency, happened_at, local_date, accounting_date,
                           expected_minor, counted_minor, rule_set_id, out_of_tolerance, left_out, sigmas, chart_sum, chart_average, average_limit, signals, recorded_at, second_expected_minor, counters_apart_minor, counters_too_far)
SELECT tenant_id, '01890000-0000-7000-8000-000000000663', collection_id, site_id, placement_id, machine_id, 'coin', 1, currency, happened_at, local_date, accounting_date,
       expected_minor, counted_minor, '01890000-0000-7000-8000-000000000662', false, false, NULL, 0, 0, 0, '{}', '2026-01-06', expected_minor + 700, 700, true
  FROM cash_variance WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000621';
