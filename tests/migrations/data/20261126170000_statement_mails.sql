INSERT INTO statement_mail (tenant_id, settlement_id, account_id, state, attempts, asked_at, asked_by, changed_at)
SELECT tenant_id, settlement_id, '01890000-0000-7000-8000-000000000901', 'sent', 1, '2026-02-02', 'user:a', '2026-02-02' FROM statement WHERE tenant_id = app.current_tenant() LIMIT 1;
