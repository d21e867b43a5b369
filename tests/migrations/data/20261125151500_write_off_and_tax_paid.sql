INSERT INTO write_off (tenant_id, id, open_item_id, agreement_id, party_id, currency, amount_minor, accounting_date, reason, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000401', '01890000-0000-7000-8000-000000000070', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000013', 'EUR', 8772, '2026-02-20', 'Too small to go after.', '2026-02-20', 'system:test');
INSERT INTO write_off_undo (tenant_id, id, write_off_id, accounting_date, reason, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000402', '01890000-0000-7000-8000-000000000401', '2026-02-21', 'It will be paid.', '2026-02-21', 'system:test');
INSERT INTO tax_payment (tenant_id, id, tax_area_id, month, currency, amount_minor, method, reference, paid_on, accounting_date, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000403', id, '2026-01-01', 'EUR', 100, 'bank', 'DR-1', '2026-02-20', '2026-02-20', '2026-02-20', 'system:test' FROM tax_area WHERE tenant_id = app.current_tenant() LIMIT 1;
INSERT INTO tax_payment_return (tenant_id, id, tax_payment_id, returned_on, accounting_date, reason, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000404', '01890000-0000-7000-8000-000000000403', '2026-02-21', '2026-02-21', 'Wrong account.', '2026-02-21', 'system:test');
