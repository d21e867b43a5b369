INSERT INTO key_inventory (tenant_id, id, cause, opened_at, opened_by, reason) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000330', 'schedule', '2026-02-02', 'system:test', 'First quarter');
INSERT INTO key_inventory_copy (tenant_id, key_inventory_id, key_copy_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000330', '01890000-0000-7000-8000-000000000107');
INSERT INTO key_inventory_count (tenant_id, key_inventory_id, key_copy_id, how, holder_kind, holder_id, expected_state, expected_kind, expected_id, counted_at, counted_by, without_second_person) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000330', '01890000-0000-7000-8000-000000000107', 'attested', 'store', '01890000-0000-7000-8000-000000000102', 'held', 'store', '01890000-0000-7000-8000-000000000102', '2026-02-02', 'system:test', true);
INSERT INTO key_inventory_surplus (tenant_id, id, key_inventory_id, note, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000331', '01890000-0000-7000-8000-000000000330', 'No number on it', '2026-02-02', 'system:test');
INSERT INTO key_inventory_line (tenant_id, key_inventory_id, key_code_id, made, duplicated, destroyed, in_stores, with_holders, missing, unaccounted) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000330', '01890000-0000-7000-8000-000000000100', 1, 0, 0, 1, 0, 0, 0);
INSERT INTO key_inventory_discrepancy (tenant_id, id, key_inventory_id, kind, note) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000332', '01890000-0000-7000-8000-000000000330', 'surplus', 'No number on it');
UPDATE key_inventory SET closed_at = '2026-02-03', closed_by = 'system:test', closing_reason = 'All there' WHERE tenant_id = app.current_tenant();
