-- Another of the same time, in the place of one that was wrong.
UPDATE outage SET taken_back_at = '2026-01-05', taken_back_by = 'system:test', taken_back_because = 'It was the machine next door.'
 WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000653';
INSERT INTO outage (tenant_id, id, machine_id, started_at, ended_at, cause, remedy, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000654', '01890000-0000-7000-8000-000000000015', '2026-01-03', '2026-01-04', 'Coin jam', 'Cleared the coin path', '2026-01-05', 'system:test');
