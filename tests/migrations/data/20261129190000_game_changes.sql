INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, value, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000001250', '01890000-0000-7000-8000-000000000651', '01890000-0000-7000-8000-000000000015', 100000, '2026-01-07', 'before', 'game-change', 150, '2026-01-07', 'system:test'),
  (app.current_tenant(), '01890000-0000-7000-8000-000000001251', '01890000-0000-7000-8000-000000000651', '01890000-0000-7000-8000-000000000015', 100000, '2026-01-07', 'after', 'game-change', 152, '2026-01-07', 'system:test');
INSERT INTO meter_not_read (tenant_id, id, meter_id, machine_id, happened_at, occasion, why, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000001252', '01890000-0000-7000-8000-000000000651', '01890000-0000-7000-8000-000000000015', '2026-01-08', 'game-change', 'display-dark', '2026-01-08', 'system:test');
