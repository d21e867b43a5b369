INSERT INTO meter_reading_try (tenant_id, id, meter_id, machine_id, happened_at, value, tried_at, tried_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000660', '01890000-0000-7000-8000-000000000651', '01890000-0000-7000-8000-000000000015', '2026-01-03', 90000, '2026-01-04', 'system:test');
