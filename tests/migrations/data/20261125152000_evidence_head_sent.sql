INSERT INTO evidence_head_sent (tenant_id, sent_on, size, root, addresses, sent_at) VALUES
  (app.current_tenant(), '2026-02-01', 1, sha256('root'), 2, '2026-02-01');
