INSERT INTO cash_move (tenant_id, id, kind, moved_on, counted_on, currency, amount_minor, collector_id, recorded_at, recorded_by)
SELECT p.tenant_id, '01890000-0000-7000-8000-000000000a90', 'handed-in', '2026-01-06', '2026-01-05', f.currency, 4500, p.id, '2026-01-06', 'system:test'
  FROM person p JOIN change_fund f ON f.tenant_id = p.tenant_id WHERE p.tenant_id = app.current_tenant() ORDER BY p.id LIMIT 1;
-- A visit that waits, of which one part was counted at the machine and another one later in the room.
INSERT INTO collection (tenant_id, id, site_id, currency, happened_at, local_date, accounting_date, state, counted_at_machine, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000a92', site_id, currency, '2026-01-22 12:00+00', '2026-01-22', '2026-01-22', 'counted', true, '2026-01-22', 'system:test'
  FROM placement JOIN site USING (tenant_id) WHERE tenant_id = app.current_tenant() AND site.id = placement.site_id ORDER BY placement.id LIMIT 1;
INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, currency, coin_minor, note_minor, recorded_at, recorded_by)
SELECT c.tenant_id, id.id, c.id, c.site_id, p.id, p.machine_id, id.part, c.currency, 5000, 0, id.recorded_at::timestamptz, 'system:test'
  FROM collection c
  CROSS JOIN LATERAL (SELECT id, machine_id FROM placement WHERE tenant_id = c.tenant_id AND site_id = c.site_id ORDER BY id LIMIT 1) p
  CROSS JOIN (VALUES ('01890000-0000-7000-8000-000000000a93'::uuid, 1, '2026-01-22'), ('01890000-0000-7000-8000-000000000a94', 2, '2026-01-23')) AS id (id, part, recorded_at)
 WHERE c.tenant_id = app.current_tenant() AND c.id = '01890000-0000-7000-8000-000000000a92';
