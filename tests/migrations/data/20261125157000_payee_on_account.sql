INSERT INTO payment (tenant_id, id, kind, agreement_id, site_id, party_id, currency, amount_minor, paid_minor, method, reference, paid_on, accounting_date, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000421', 'on-account', agreement_id, site_id, party_id, currency, -700, -700, 'bank', 'From the payee', '2026-02-22', '2026-02-22', '2026-02-22', 'system:test'
  FROM payment WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000072';
INSERT INTO payment_shift (tenant_id, id, payment_id, amount_minor, accounting_date, note, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000422', '01890000-0000-7000-8000-000000000421', 300, '2026-02-23', NULL, '2026-02-23', 'system:test');
