UPDATE work_batch SET woken_at = '2026-02-03' WHERE tenant_id = app.current_tenant();
