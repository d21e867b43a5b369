INSERT INTO cash_move (tenant_id, id, kind, moved_on, counted_on, currency, amount_minor, collector_id, recorded_at, recorded_by)
SELECT p.tenant_id, '01890000-0000-7000-8000-000000000a90', 'handed-in', '2026-01-06', '2026-01-05', f.currency, 4500, p.id, '2026-01-06', 'system:test'
  FROM person p JOIN change_fund f ON f.tenant_id = p.tenant_id WHERE p.tenant_id = app.current_tenant() ORDER BY p.id LIMIT 1;
