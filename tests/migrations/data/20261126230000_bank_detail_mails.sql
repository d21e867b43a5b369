INSERT INTO bank_detail_mail (tenant_id, bank_detail_id, about, account_id, state, attempts, changed_at)
SELECT tenant_id, id, 'confirmed', '01890000-0000-7000-8000-000000000901', 'sent', 1, '2026-01-06' FROM bank_detail WHERE tenant_id = app.current_tenant();
