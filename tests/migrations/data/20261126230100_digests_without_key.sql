INSERT INTO idempotency_record (tenant_id, key, route, body_hash, status, body) VALUES
  (app.current_tenant(), 'key-under-a-key', 'POST /v1/taxpayer-numbers', sha256('keyed'), 201, '{"id":"2"}');
