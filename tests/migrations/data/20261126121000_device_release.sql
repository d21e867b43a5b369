INSERT INTO kept_visit_look (tenant_id, visit_id, looked_by, looked_at)
SELECT tenant_id, id, 'system:test', '2026-01-06' FROM phone_visit WHERE tenant_id = app.current_tenant() AND outcome = 'quarantined' ORDER BY id LIMIT 1;
