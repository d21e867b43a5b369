INSERT INTO site_look (tenant_id, site_id, looked_by, emptied_at, looked_at)
SELECT tenant_id, id, 'system:test', '-infinity', '2026-01-04' FROM site WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
