INSERT INTO collector_device (tenant_id, id, name, account_id, person_id, secret_hash, registered_at)
SELECT tenant_id, '01890000-0000-7000-8000-000000000611', 'Phone', '01890000-0000-7000-8000-000000000612', id, decode(repeat('ab', 32), 'hex'), '2026-01-05' FROM person WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
INSERT INTO phone_visit (tenant_id, id, device_id, sequence, body, body_hash, outcome, problem, received_at, received_from)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000613', '01890000-0000-7000-8000-000000000611', 1, '{}', decode(repeat('cd', 32), 'hex'), 'quarantined', '{"code": "invalid-request"}', '2026-01-06', 'system:test';
INSERT INTO phone_visit_ruling (tenant_id, visit_id, kind, reason, ruled_at, ruled_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000613', 'discarded', 'Sent by mistake', '2026-01-07', 'system:test';
INSERT INTO collection_bag (tenant_id, id, collection_id, number, seal, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000614', id, 'B-1', 'S-1', '2026-01-06', 'system:test' FROM collection WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
INSERT INTO cash_handed_signature (tenant_id, cash_handed_id, strokes, recorded_at)
SELECT tenant_id, id, '[[0, 0, 100, 100]]', '2026-01-06' FROM cash_handed WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
