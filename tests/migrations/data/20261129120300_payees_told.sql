INSERT INTO party_address_change (tenant_id, id, party_id, old_email, new_email, happened_at, happened_by, state, attempts, changed_at)
SELECT tenant_id, id, id, 'old@payee.example', 'new@payee.example', '2026-02-22', 'system:test', 'sent', 1, '2026-02-22' FROM party WHERE tenant_id = app.current_tenant();
INSERT INTO bank_detail_payee_mail (tenant_id, bank_detail_id, about, email, state, attempts, changed_at)
SELECT tenant_id, id, 'proposed', 'old@payee.example', 'sent', 1, '2026-02-22' FROM bank_detail WHERE tenant_id = app.current_tenant();
