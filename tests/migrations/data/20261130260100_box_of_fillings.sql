-- It was filled out of the box of a machine.
INSERT INTO cash_move (tenant_id, id, kind, moved_on, currency, amount_minor, fund_id, collection_id, out_of_machine_id, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001291', kind, moved_on, currency, 100, fund_id, collection_id, '01890000-0000-7000-8000-000000000015', '2026-01-12', 'system:test'
  FROM cash_move WHERE tenant_id = app.current_tenant() AND collection_id IS NOT NULL ORDER BY id LIMIT 1;
