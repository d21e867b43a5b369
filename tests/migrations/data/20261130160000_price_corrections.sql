-- The price of the meter was mistyped by the one person of the business.
INSERT INTO meter_value_correction (tenant_id, id, meter_id, first_effective_at, round, effective_at, unit_value_minor, withdrawn, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001280', meter_id, effective_at, 1, effective_at, unit_value_minor + 1, false, 'Mistyped', '2026-01-10', 'system:test'
  FROM meter_value WHERE tenant_id = app.current_tenant() ORDER BY meter_id, effective_at LIMIT 1;
-- Somebody took it back, and it was entered anew: the program gave the reason.
INSERT INTO meter_value_correction (tenant_id, id, meter_id, first_effective_at, round, effective_at, unit_value_minor, withdrawn, reason, recorded_at, recorded_by)
SELECT c.tenant_id, later.id, c.meter_id, c.first_effective_at, later.round, c.effective_at, c.unit_value_minor, later.withdrawn, later.reason, '2026-01-11', 'system:test'
  FROM meter_value_correction c,
       (VALUES ('01890000-0000-7000-8000-000000001288'::uuid, 2, true, 'It never changed'),
               ('01890000-0000-7000-8000-000000001289'::uuid, 3, false, 'Entered anew, after it had been taken back.')) AS later (id, round, withdrawn, reason)
 WHERE c.tenant_id = app.current_tenant() AND c.id = '01890000-0000-7000-8000-000000001280';
INSERT INTO relaxed_record (tenant_id, record_id, rule, kind, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000001280', 'second-person', 'meter-price', '2026-01-10', 'system:test');
