INSERT INTO collection_bag (tenant_id, id, collection_id, machine_id, number, seal, metered_minor, recorded_at, recorded_by)
SELECT b.tenant_id, '01890000-0000-7000-8000-000000001401', b.collection_id, m.id, 'B-1401', 'S-1401', 18250, '2026-01-05', 'system:test'
  FROM collection_bag b JOIN machine m ON m.tenant_id = b.tenant_id WHERE b.tenant_id = app.current_tenant() ORDER BY b.id, m.id LIMIT 1;
