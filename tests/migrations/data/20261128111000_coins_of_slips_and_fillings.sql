-- A slip and a filling that say how much of them was coins.
INSERT INTO refund_slip (tenant_id, id, collection_id, site_id, placement_id, machine_id, refunded_on, currency, amount_minor, paid_by, coin_minor, recorded_at, recorded_by)
SELECT r.tenant_id, '01890000-0000-7000-8000-000000000664', r.collection_id, r.site_id, r.placement_id, r.machine_id, r.refunded_on, r.currency, 500, 'operator', 200, '2026-01-06', 'system:test'
  FROM refund_slip r WHERE r.tenant_id = app.current_tenant() ORDER BY r.id LIMIT 1;
INSERT INTO cash_move (tenant_id, id, kind, moved_on, currency, amount_minor, fund_id, collection_id, coin_minor, recorded_at, recorded_by)
SELECT f.tenant_id, '01890000-0000-7000-8000-000000000665', 'fund-filled', '2026-01-06', f.currency, 500, f.id, c.id, 500, '2026-01-06', 'system:test'
  FROM change_fund f JOIN collection c ON c.tenant_id = f.tenant_id AND c.currency = f.currency WHERE f.tenant_id = app.current_tenant() ORDER BY f.id, c.id LIMIT 1;
