-- The first change was put to another moment, and there was one at its own after all.
INSERT INTO meter_value (tenant_id, meter_id, effective_at, entry, unit_value_minor, recorded_at, recorded_by)
SELECT tenant_id, meter_id, effective_at, 1, unit_value_minor, '2026-01-11', 'system:test' FROM meter_value WHERE tenant_id = app.current_tenant() ORDER BY meter_id, effective_at LIMIT 1;
INSERT INTO meter_value_correction (tenant_id, id, meter_id, first_effective_at, entry, round, effective_at, unit_value_minor, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001290', meter_id, effective_at, entry, 1, effective_at, unit_value_minor, NULL, '2026-01-12', 'system:test' FROM meter_value WHERE tenant_id = app.current_tenant() AND entry = 1;
-- The tubes of a machine were filled out of a box.
INSERT INTO change_fund (tenant_id, id, code, kind, site_id, machine_id, currency, recorded_at, recorded_by)
SELECT f.tenant_id, '01890000-0000-7000-8000-000000001292', 'TUBES-9', 'tubes', f.site_id, '01890000-0000-7000-8000-000000000015', f.currency, '2026-01-11', 'system:test'
  FROM change_fund f WHERE f.tenant_id = app.current_tenant() ORDER BY f.id LIMIT 1;
INSERT INTO cash_move (tenant_id, id, kind, moved_on, currency, amount_minor, fund_id, collection_id, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001293', kind, moved_on, currency, 100, '01890000-0000-7000-8000-000000001292', collection_id, '2026-01-11', 'system:test'
  FROM cash_move WHERE tenant_id = app.current_tenant() AND collection_id IS NOT NULL ORDER BY id LIMIT 1;
