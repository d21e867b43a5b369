INSERT INTO count_look (tenant_id, collection_id, looked_by, looked_at)
SELECT tenant_id, id, 'system:test', '2026-01-04' FROM collection WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
