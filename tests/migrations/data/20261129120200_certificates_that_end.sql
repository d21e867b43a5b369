INSERT INTO certificate_end_mail (tenant_id, certificate_id, days_before, account_id, state, attempts, changed_at)
SELECT tenant_id, id, 30, '01890000-0000-7000-8000-000000000901', 'sent', 1, '2026-02-22' FROM signing_certificate WHERE tenant_id = app.current_tenant();
