UPDATE outage SET confirmed_at = '2026-01-06', confirmed_by = 'system:test'
 WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000654';
INSERT INTO machine_fault_dismissal (tenant_id, machine_id, started_at, kind, fault, reason, dismissed_at, dismissed_by)
SELECT tenant_id, machine_id, happened_at, kind, fault, 'A loose contact', '2026-01-07', 'system:test' FROM machine_event WHERE tenant_id = app.current_tenant();
