INSERT INTO retention_decision (tenant_id, id, kind, keep, reason, decided_at, decided_by)
SELECT tenant_id, '01890000-0000-7000-8000-00000000f101', 'mails', 10, 'Our adviser asks for ten years', '2026-02-23', 'user:a' FROM operator WHERE tenant_id = app.current_tenant();
INSERT INTO retention_hold (tenant_id, id, reason, placed_at, placed_by)
SELECT tenant_id, '01890000-0000-7000-8000-00000000f102', 'A dispute about the takings of January', '2026-02-23', 'user:a' FROM operator WHERE tenant_id = app.current_tenant();
INSERT INTO retention_run (tenant_id, kind, local_date, before, removed, began_at, ended_at)
SELECT tenant_id, 'webhooks', '2026-02-23', '2025-12-25', 3, '2026-02-23', '2026-02-23' FROM operator WHERE tenant_id = app.current_tenant();
