INSERT INTO change_fund (tenant_id, id, code, kind, site_id, currency, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000710', 'CHANGER-1', 'changer', id, currency, '2026-01-05', 'system:test' FROM site WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
INSERT INTO cash_move (tenant_id, id, kind, moved_on, currency, amount_minor, fund_id, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000711', 'fund-filled', '2026-01-05', currency, 5000, id, '2026-01-05', 'system:test' FROM change_fund WHERE tenant_id = app.current_tenant();
INSERT INTO cash_stocktake (tenant_id, id, place, fund_id, currency, counted_on, counted_minor, booked_minor, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000712', 'fund', id, currency, '2026-01-05', 4900, 5000, 'Monthly count', '2026-01-05', 'system:test' FROM change_fund WHERE tenant_id = app.current_tenant();
INSERT INTO collection_bag_step (tenant_id, id, bag_id, kind, seal, happened_at, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000713', id, 'received', seal, '2026-01-05', '2026-01-05', 'system:test' FROM collection_bag WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
