INSERT INTO field_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, currency, coin_minor, note_minor, counted_by, replaces_id, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000a91', collection_id, site_id, placement_id, machine_id, part, currency, coin_minor + 100, note_minor, counted_by, id, 'Read wrong', '2026-01-07', 'system:test'
  FROM field_count WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
