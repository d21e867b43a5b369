INSERT INTO key_copy (tenant_id, id, number, key_code_id, class, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000160', 'K-2', '01890000-0000-7000-8000-000000000100', 'cash-box', '2026-01-02');
INSERT INTO custody_event (tenant_id, id, kind, says, happened_at, recorded_at, recorded_by, reason, from_store_id, to_store_id, to_person_id, due_back_at, acknowledge_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000161', 'made', 'made', '2026-01-02', '2026-01-02', 'system:test', 'Second copy', NULL, '01890000-0000-7000-8000-000000000102', NULL, NULL, NULL),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000162', 'issued', 'issued', '2026-01-03', '2026-01-03', 'system:test', 'Lent', '01890000-0000-7000-8000-000000000102', NULL, '01890000-0000-7000-8000-000000000014', '2026-01-09', '2026-01-05');
INSERT INTO custody_event_copy (tenant_id, event_id, key_copy_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000161', '01890000-0000-7000-8000-000000000160'),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000162', '01890000-0000-7000-8000-000000000160');
INSERT INTO custody (tenant_id, id, key_copy_id, key_code_id, event_id, state, store_id, person_id, held_from, held_to, known_from) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000163', '01890000-0000-7000-8000-000000000160', '01890000-0000-7000-8000-000000000100', '01890000-0000-7000-8000-000000000161', 'held', '01890000-0000-7000-8000-000000000102', NULL, '2026-01-02', '2026-01-03', '2026-01-02'),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000164', '01890000-0000-7000-8000-000000000160', '01890000-0000-7000-8000-000000000100', '01890000-0000-7000-8000-000000000162', 'held', NULL, '01890000-0000-7000-8000-000000000014', '2026-01-03', NULL, '2026-01-03');
