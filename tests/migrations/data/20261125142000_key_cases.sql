INSERT INTO key_case (tenant_id, id, key_code_id, class, cause, happened_at, surely_held_until, opened_at, opened_by, reason) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000320', '01890000-0000-7000-8000-000000000100', 'cash-box', 'compromised', '2026-02-02', '2026-02-01', '2026-02-02', 'system:test', 'A dealer sold copies');
INSERT INTO key_case_copy (tenant_id, key_case_id, key_copy_id, key_code_id, event_id, surely_held_until, recorded_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000320', '01890000-0000-7000-8000-000000000107', '01890000-0000-7000-8000-000000000100', '01890000-0000-7000-8000-000000000110', '2026-02-01', '2026-02-02');
INSERT INTO key_case_step (tenant_id, id, key_case_id, kind, machine_lock_id, happened_at, recorded_at, recorded_by, note) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000321', '01890000-0000-7000-8000-000000000320', 'box-emptied', '01890000-0000-7000-8000-000000000101', '2026-02-02', '2026-02-02', 'system:test', 'Emptied on the spot');
