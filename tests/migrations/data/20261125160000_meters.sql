INSERT INTO counter_board (tenant_id, id, machine_id, label, fitted_at, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000650', '01890000-0000-7000-8000-000000000015', 'Main board', '2026-01-01', '2026-01-02');
INSERT INTO meter (tenant_id, id, board_id, machine_id, label, tender, digits, capacity, currency, most_per_hour) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000651', '01890000-0000-7000-8000-000000000650', '01890000-0000-7000-8000-000000000015', 'Coins', 'coin', 5, 100000, 'EUR', 100);
INSERT INTO meter_value (tenant_id, meter_id, effective_at, unit_value_minor, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000651', '2026-01-01', 50, '2026-01-02', 'system:test');
INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, value, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000652', '01890000-0000-7000-8000-000000000651', '01890000-0000-7000-8000-000000000015', 100000, '2026-01-01', 'only', 'board-fitted', 120, '2026-01-02', 'system:test');
INSERT INTO outage (tenant_id, id, machine_id, started_at, ended_at, cause, remedy, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000653', '01890000-0000-7000-8000-000000000015', '2026-01-03', '2026-01-04', 'Coin jam', 'Cleared the coin path', '2026-01-04', 'system:test');
