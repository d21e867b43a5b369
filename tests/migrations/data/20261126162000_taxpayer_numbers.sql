INSERT INTO taxpayer_number (tenant_id, id, party_id, sealed_number, data_key_id, ending, recorded_at, recorded_by)
SELECT p.tenant_id, '01890000-0000-7000-8000-000000000740', p.id, '\x01', k.id, '6789', '2026-01-05', 'user:a'
  FROM (SELECT tenant_id, id FROM party WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) p
  JOIN (SELECT tenant_id, id FROM operator_data_key WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) k ON k.tenant_id = p.tenant_id;
INSERT INTO idempotency_record (tenant_id, key, route, body_hash, status, body) VALUES
  (app.current_tenant(), 'key-without-a-key', 'POST /v1/taxpayer-numbers', sha256('guessable'), 201, '{"id":"2"}');
