INSERT INTO scale_check (tenant_id, id, scale, reference_milligrams, shown_milligrams, happened_at, recorded_at, recorded_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000640', 'Counting room', 2000000, 2000000, '2026-01-05', '2026-01-05', 'system:test';
INSERT INTO box_tally (tenant_id, box_count_id, lines, scale_check_id)
SELECT tenant_id, id, '[]', '01890000-0000-7000-8000-000000000640' FROM box_count WHERE tenant_id = app.current_tenant() LIMIT 1;
INSERT INTO field_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, currency, coin_minor, note_minor, tally, counted_by, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000641', collection_id, site_id, placement_id, machine_id, part, currency, 1000, 0, NULL, '01890000-0000-7000-8000-000000000014', '2026-01-05', 'system:test'
  FROM box_count WHERE tenant_id = app.current_tenant() LIMIT 1;
