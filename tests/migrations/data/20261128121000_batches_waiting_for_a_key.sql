UPDATE work_batch SET key_missed_at = '2026-02-02', key_missed = 'the key that lies elsewhere did not sign' WHERE tenant_id = app.current_tenant();
