DO $$ BEGIN
  ASSERT (SELECT array_agg(at_machine ORDER BY part) = '{true,false}' FROM box_count WHERE tenant_id = app.current_tenant() AND collection_id = '01890000-0000-7000-8000-000000000a92'), 'what came with the visit was counted at its machine';
  ASSERT NOT (SELECT at_machine FROM box_count WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000a02'), 'other visits were counted in the room';
END $$;
-- A count that was made at the machine, corrected.
INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, currency, coin_minor, note_minor, at_machine, replaces_id, reason, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000002201', collection_id, site_id, placement_id, machine_id, part, currency, 4900, 0, at_machine, id, 'it was 49.00', '2026-01-24', 'system:test'
  FROM box_count b WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000a93';
