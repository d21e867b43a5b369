INSERT INTO webhook (tenant_id, id, name, url, event_types, state, off_reason, changed_at, created_at, created_by)
SELECT tenant_id, '01890000-0000-7000-8000-00000000f001', 'Accounting', 'https://books.example/in', '{settlement.issued}', 'off', 'failing', '2026-02-02', '2026-01-01', 'user:a' FROM operator WHERE tenant_id = app.current_tenant();
INSERT INTO webhook_secret (tenant_id, id, webhook_id, sealed_secret, data_key_id, created_at, created_by)
SELECT tenant_id, '01890000-0000-7000-8000-00000000f002', '01890000-0000-7000-8000-00000000f001', '\x01', id, '2026-01-01', 'user:a' FROM operator_data_key WHERE tenant_id = app.current_tenant() LIMIT 1;
INSERT INTO webhook_event (tenant_id, id, type, subject_id, cause_id, happened_at, body)
SELECT tenant_id, '01890000-0000-7000-8000-00000000f003', 'settlement.issued', tenant_id, tenant_id, '2026-02-01', '{}' FROM operator WHERE tenant_id = app.current_tenant();
INSERT INTO webhook_delivery (tenant_id, id, event_id, webhook_id, state, attempts, changed_at)
SELECT tenant_id, '01890000-0000-7000-8000-00000000f004', id, '01890000-0000-7000-8000-00000000f001', 'failed', 1, '2026-02-02' FROM webhook_event WHERE tenant_id = app.current_tenant();
INSERT INTO webhook_attempt (tenant_id, delivery_id, number, begun_at, duration_ms, status, answer)
SELECT tenant_id, id, 1, '2026-02-01', 12, 500, 'no' FROM webhook_delivery WHERE tenant_id = app.current_tenant();
INSERT INTO webhook_mail (tenant_id, webhook_id, about, about_at, account_id, state, attempts, changed_at)
SELECT tenant_id, id, 'switched-off', '2026-02-02', '01890000-0000-7000-8000-000000000901', 'sent', 1, '2026-02-02' FROM webhook WHERE tenant_id = app.current_tenant();
