INSERT INTO collection_rhythm (tenant_id, id, site_id, currency, every_days, box_limit_minor, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000601', id, currency, 28, 40000, '2026-01-05', 'system:test' FROM site WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
INSERT INTO collection_round (tenant_id, id, name, planned_on, collector_id, state, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000602', 'Harbour', '2026-01-06', id, 'planned', '2026-01-05', 'system:test' FROM person WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
INSERT INTO collection_round_stop (tenant_id, round_id, position, site_id)
SELECT tenant_id, '01890000-0000-7000-8000-000000000602', 1, id FROM site WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
