INSERT INTO payment_run (tenant_id, id, state, kind, from_detail_id, currency, execute_on, transfers, sum_minor, created_at, created_by)
SELECT d.tenant_id, '01890000-0000-7000-8000-000000000730', 'draft', 'iban', d.id, i.currency, '2026-01-10', 1, 100, '2026-01-07', 'user:a'
  FROM (SELECT tenant_id, id FROM bank_detail WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) d
  JOIN (SELECT tenant_id, currency FROM open_item WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) i ON i.tenant_id = d.tenant_id;
INSERT INTO payment_run_transfer (tenant_id, id, run_id, position, agreement_id, site_id, party_id, bank_detail_id, currency, amount_minor, on_account_minor)
SELECT r.tenant_id, '01890000-0000-7000-8000-000000000731', r.id, 1, i.agreement_id, i.site_id, i.party_id, r.from_detail_id, r.currency, 100, 0
  FROM payment_run r JOIN (SELECT * FROM open_item WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) i ON i.tenant_id = r.tenant_id;
INSERT INTO payment_run_item (tenant_id, transfer_id, open_item_id, amount_minor)
SELECT t.tenant_id, t.id, i.id, 100
  FROM payment_run_transfer t JOIN (SELECT * FROM open_item WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) i ON i.tenant_id = t.tenant_id;
-- One whose file is made.
INSERT INTO payment_run (tenant_id, id, state, kind, from_detail_id, currency, execute_on, transfers, sum_minor, created_at, created_by,
  file_made_at, file_made_on, file_made_by, sealed_file, data_key_id, file_sha256)
SELECT r.tenant_id, '01890000-0000-7000-8000-000000000732', 'file-made', 'iban', r.from_detail_id, r.currency, '2026-01-10', 1, 100, '2026-01-07', 'user:a',
  '2026-01-08', '2026-01-08', 'user:a', '\x00', k.id, sha256('\x00')
  FROM payment_run r JOIN (SELECT * FROM operator_data_key WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1) k ON k.tenant_id = r.tenant_id;
