INSERT INTO box_metered (tenant_id, id, collection_id, machine_id, metered_minor, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001500', collection_id, machine_id, 12500, 'By what the machine printed.', '2026-01-07', 'system:test' FROM box_count WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
