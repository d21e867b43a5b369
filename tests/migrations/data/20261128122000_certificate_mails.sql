INSERT INTO certificate_mail (tenant_id, revocation_id, about, account_id, state, attempts, changed_at)
SELECT tenant_id, id, 'recorded', '01890000-0000-7000-8000-000000000901', 'sent', 1, '2026-02-22' FROM signing_certificate_revocation WHERE tenant_id = app.current_tenant();
