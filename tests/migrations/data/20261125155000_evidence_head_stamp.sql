INSERT INTO evidence_head_stamp (tenant_id, size, root, asked_on, stamped_at, authority, policy, serial_number, trusted, token, recorded_at) VALUES
  (app.current_tenant(), 1, sha256('root'), '2026-02-01', '2026-02-01', 'Some clock', '1.2.3', '01', true, '\x30', '2026-02-01');
