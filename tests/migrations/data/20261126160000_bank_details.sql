INSERT INTO bank_detail (tenant_id, id, party_id, kind, sealed_account, data_key_id, country, ending, reason, proposed_at, proposed_by)
SELECT p.tenant_id, '01890000-0000-7000-8000-000000000720', p.id, 'iban', '\x01', k.id, 'DE', '3000', 'Letter of the owner', '2026-01-05', 'user:a'
  FROM (SELECT tenant_id, id FROM party WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) p
  JOIN (SELECT tenant_id, id FROM operator_data_key WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) k ON k.tenant_id = p.tenant_id;
INSERT INTO bank_detail_event (tenant_id, bank_detail_id, kind, happened_at, happened_by)
SELECT tenant_id, id, 'confirmed', '2026-01-06', 'user:b' FROM bank_detail WHERE tenant_id = app.current_tenant();
INSERT INTO bank_detail_notice (tenant_id, bank_detail_id, about, addresses, sent_at)
SELECT tenant_id, id, 'confirmed', 2, '2026-01-06' FROM bank_detail WHERE tenant_id = app.current_tenant();
