INSERT INTO collection (tenant_id, id, site_id, currency, happened_at, local_date, accounting_date, state, bagged, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000a01', site_id, currency, '2026-01-20 12:00+00', '2026-01-20', '2026-01-20', 'counted', true, '2026-01-21', 'system:test'
  FROM placement JOIN site USING (tenant_id) WHERE tenant_id = app.current_tenant() AND site.id = placement.site_id ORDER BY placement.id LIMIT 1;
INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, currency, coin_minor, note_minor, recorded_at, recorded_by)
SELECT c.tenant_id, id.id, c.id, c.site_id, p.id, p.machine_id, id.part, c.currency, id.minor, 0, '2026-01-21', 'system:test'
  FROM collection c
  CROSS JOIN LATERAL (SELECT id, machine_id FROM placement WHERE tenant_id = c.tenant_id AND site_id = c.site_id ORDER BY id LIMIT 1) p
  CROSS JOIN (VALUES ('01890000-0000-7000-8000-000000000a02'::uuid, 1, 80000), ('01890000-0000-7000-8000-000000000a03', 0, 20000)) AS id (id, part, minor)
 WHERE c.tenant_id = app.current_tenant() AND c.id = '01890000-0000-7000-8000-000000000a01';
