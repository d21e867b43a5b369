INSERT INTO key_code (tenant_id, id, code, class, outside_copies, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000100', 'C-100', 'cash-box', true, '2026-01-02');
INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000101', '01890000-0000-7000-8000-000000000015', 'cash-box', 'cash-box', 'cash-box', '01890000-0000-7000-8000-000000000100', '2026-01-02', '2026-01-02', 'system:test');
INSERT INTO key_store (tenant_id, id, code, name, kind, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000102', 'SAFE', 'Office safe', 'safe', '2026-01-02');
INSERT INTO key_custodian (tenant_id, id, key_store_id, person_id, started_at, recorded_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000103', '01890000-0000-7000-8000-000000000102', '01890000-0000-7000-8000-000000000014', '2026-01-02', '2026-01-02');
INSERT INTO key_place (tenant_id, id, site_id, code, name, responsible_person_id, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000104', '01890000-0000-7000-8000-000000000012', 'HOOK-1', 'Hook behind the bar', '01890000-0000-7000-8000-000000000014', '2026-01-02');
INSERT INTO key_place_user (tenant_id, id, key_place_id, person_id, started_at, recorded_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000105', '01890000-0000-7000-8000-000000000104', '01890000-0000-7000-8000-000000000014', '2026-01-02', '2026-01-02');
INSERT INTO key_exception (tenant_id, id, site_id, label, reason, started_at, review_on, granted_by, granted_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000106', '01890000-0000-7000-8000-000000000012', 'Own bar', 'The bar is ours', '2026-01-02', '2026-07-01', 'system:test', '2026-01-02');
INSERT INTO key_copy (tenant_id, id, number, key_code_id, class, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000107', 'K-1', '01890000-0000-7000-8000-000000000100', 'cash-box', '2026-01-02');
INSERT INTO key_ring (tenant_id, id, code, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000108', 'RING-1', '2026-01-02');
INSERT INTO key_ring_copy (tenant_id, id, key_ring_id, key_copy_id, started_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000109', '01890000-0000-7000-8000-000000000108', '01890000-0000-7000-8000-000000000107', '2026-01-02');
INSERT INTO custody_event (tenant_id, id, kind, says, happened_at, recorded_at, recorded_by, reason, to_store_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000110', 'made', 'made', '2026-01-02', '2026-01-02', 'system:test', 'First copy', '01890000-0000-7000-8000-000000000102');
INSERT INTO custody_event_copy (tenant_id, event_id, key_copy_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000110', '01890000-0000-7000-8000-000000000107');
INSERT INTO custody_acknowledgement (tenant_id, event_id, side, person_id, how, acknowledged_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000110', 'receiver', '01890000-0000-7000-8000-000000000014', 'recorded', '2026-01-02');
INSERT INTO custody_link (tenant_id, id, event_id, side, person_id, secret_hash, created_at, created_by, expires_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000111', '01890000-0000-7000-8000-000000000110', 'receiver', '01890000-0000-7000-8000-000000000014', sha256('link'), '2026-01-02', 'system:test', '2026-01-05');
INSERT INTO custody (tenant_id, id, key_copy_id, key_code_id, event_id, state, store_id, held_from, known_from) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000112', '01890000-0000-7000-8000-000000000107', '01890000-0000-7000-8000-000000000100', '01890000-0000-7000-8000-000000000110', 'held', '01890000-0000-7000-8000-000000000102', '2026-01-02', '2026-01-02');
