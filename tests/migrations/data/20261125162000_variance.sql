INSERT INTO tolerance_rule_set (tenant_id, id, name, currency, effective_on, amount_minor, percent, joined_by, percent_of, out_when, recorded_at, recorded_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000620', 'Usual', 'USD', '2026-01-01', 2500, 3, 'and', 'metered', 'more-than', '2026-01-05', 'system:test';
INSERT INTO cash_variance (tenant_id, id, collection_id, site_id, placement_id, machine_id, tender, revision, currency, happened_at, local_date, accounting_date,
                           expected_minor, counted_minor, rule_set_id, out_of_tolerance, left_out, sigmas, chart_sum, chart_average, average_limit, signals, recorded_at)
SELECT b.tenant_id, '01890000-0000-7000-8000-000000000621', b.collection_id, b.site_id, b.placement_id, b.machine_id, 'cash', 1, b.currency, c.happened_at, c.local_date, c.accounting_date,
       b.coin_minor + b.note_minor + 3000, b.coin_minor + b.note_minor, '01890000-0000-7000-8000-000000000620', true, false, NULL, 0, 0, 0, '{}', '2026-01-05'
  FROM box_count b JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id WHERE b.tenant_id = app.current_tenant() ORDER BY b.id LIMIT 1;
INSERT INTO variance_series (tenant_id, machine_id, tender, currency, state, latest_at)
SELECT tenant_id, machine_id, tender, currency, '{}', happened_at FROM cash_variance WHERE tenant_id = app.current_tenant();
INSERT INTO variance_flag (tenant_id, id, collection_id, site_id, placement_id, machine_id, currency, accounting_date, state, raised_at)
SELECT tenant_id, '01890000-0000-7000-8000-000000000622', collection_id, site_id, placement_id, machine_id, currency, accounting_date, 'open', '2026-01-05'
  FROM cash_variance WHERE tenant_id = app.current_tenant();
INSERT INTO variance_flag_event (tenant_id, id, flag_id, kind, reasons, figures, happened_at, happened_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000623', '01890000-0000-7000-8000-000000000622', 'raised', '{tolerance}', '[]', '2026-01-05', 'system:test';
INSERT INTO variance_flag_override (tenant_id, settlement_id, flag_id, event_id)
SELECT e.tenant_id, e.settlement_id, '01890000-0000-7000-8000-000000000622', e.id FROM settlement_event e WHERE e.tenant_id = app.current_tenant() ORDER BY e.id LIMIT 1;
