INSERT INTO phone_visit (tenant_id, id, device_id, sequence, body, body_hash, outcome, problem, received_at, received_from)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000001020', '01890000-0000-7000-8000-000000000611', 2, '{}', decode(repeat('ce', 32), 'hex'), 'quarantined', '{"code": "invalid-request"}', '2026-01-06', 'system:test';
INSERT INTO phone_visit_ruling (tenant_id, visit_id, kind, reason, ruled_at, ruled_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000001020', 'withdrawn', 'Entered on paper', '2026-01-07', 'system:test';
INSERT INTO withdrawn_visit_seen (tenant_id, visit_id, seen_at, seen_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000001020', '2026-01-08', 'system:test';
