INSERT INTO collection_bag_correction (tenant_id, id, bag_id, what, number, seal, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000a92', id, 'filled', number, seal || 'X', 'Read wrong', '2026-01-07', 'system:test' FROM collection_bag WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
