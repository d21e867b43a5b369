-- The price of the meter was mistyped by the one person of the business.
INSERT INTO meter_value_correction (tenant_id, id, meter_id, first_effective_at, round, effective_at, unit_value_minor, withdrawn, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001280', meter_id, effective_at, 1, effective_at, unit_value_minor + 1, false, 'Mistyped', '2026-01-10', 'system:test'
  FROM meter_value WHERE tenant_id = app.current_tenant() ORDER BY meter_id, effective_at LIMIT 1;
INSERT INTO relaxed_record (tenant_id, record_id, rule, kind, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000001280', 'second-person', 'meter-price', '2026-01-10', 'system:test');
