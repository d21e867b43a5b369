INSERT INTO board_opening (tenant_id, id, board_id, machine_id, opened_at, why, note, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001281', id, machine_id, fitted_at + interval '1 day', 'other', 'Cleared by the workshop', '2026-01-10', 'system:test'
  FROM counter_board WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
