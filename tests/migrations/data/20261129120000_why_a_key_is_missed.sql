UPDATE work_batch SET key_missed_at = '2026-02-02', key_missed = 'the certificate is revoked', key_missed_why = 'revoked' WHERE tenant_id = app.current_tenant();
