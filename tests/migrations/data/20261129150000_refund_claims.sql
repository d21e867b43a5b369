-- A claim that lies open, beside a slip of a collection.
INSERT INTO refund_claim (tenant_id, id, site_id, placement_id, machine_id, number, refunded_on, currency, amount_minor, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000670', site_id, placement_id, machine_id, 'A-17', refunded_on, currency, 100, 'Coin stuck', '2026-01-06', 'system:test'
  FROM refund_slip WHERE tenant_id = app.current_tenant() AND replaces_id IS NULL ORDER BY id LIMIT 1;
