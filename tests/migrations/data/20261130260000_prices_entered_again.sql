-- The first change was put to another moment, and there was one at its own after all.
INSERT INTO meter_value (tenant_id, meter_id, effective_at, entry, unit_value_minor, recorded_at, recorded_by)
SELECT tenant_id, meter_id, effective_at, 1, unit_value_minor, '2026-01-11', 'system:test' FROM meter_value WHERE tenant_id = app.current_tenant() ORDER BY meter_id, effective_at LIMIT 1;
INSERT INTO meter_value_correction (tenant_id, id, meter_id, first_effective_at, entry, round, effective_at, unit_value_minor, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001290', meter_id, effective_at, entry, 1, effective_at, unit_value_minor, NULL, '2026-01-12', 'system:test' FROM meter_value WHERE tenant_id = app.current_tenant() AND entry = 1;
