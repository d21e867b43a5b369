INSERT INTO box_metered (tenant_id, id, collection_id, machine_id, metered_minor, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000001030', collection_id, machine_id, 12000, '2026-01-06', 'system:test' FROM box_count WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
