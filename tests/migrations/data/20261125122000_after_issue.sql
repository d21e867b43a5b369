INSERT INTO open_item (tenant_id, id, settlement_id, agreement_id, site_id, party_id, currency, amount_minor, dated_on) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000070', '01890000-0000-7000-8000-000000000042', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000013', 'EUR', 8772, '2026-01-31');
INSERT INTO open_item_event (tenant_id, open_item_id, position, kind, note, happened_at, happened_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000070', 1, 'held', 'The bar disputes a slip.', '2026-02-05', 'system:test');
INSERT INTO payment (tenant_id, id, kind, agreement_id, site_id, party_id, currency, amount_minor, paid_minor, method, reference, paid_on, accounting_date, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000071', 'settling', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000013', 'EUR', 8772, 8770, 'cash', '', '2026-02-06', '2026-02-06', '2026-02-06', 'system:test'),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000072', 'on-account', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000013', 'EUR', 1000, 1000, 'bank', 'R-1', '2026-01-06', '2026-01-06', '2026-01-06', 'system:test');
INSERT INTO payment_match (tenant_id, id, kind, payment_id, open_item_id, agreement_id, party_id, currency, amount_minor, accounting_date, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000073', 'matched', '01890000-0000-7000-8000-000000000071', '01890000-0000-7000-8000-000000000070', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000013', 'EUR', 8772, '2026-02-06', '2026-02-06', 'system:test'),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000074', 'returned', '01890000-0000-7000-8000-000000000071', '01890000-0000-7000-8000-000000000070', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000013', 'EUR', -8772, '2026-02-09', '2026-02-09', 'system:test');
INSERT INTO payment_return (tenant_id, id, payment_id, returned_on, accounting_date, reason, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000075', '01890000-0000-7000-8000-000000000071', '2026-02-09', '2026-02-09', 'Handed back', '2026-02-09', 'system:test');
INSERT INTO payment_set_off (tenant_id, payment_id, round, settlement_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000072', 1, '01890000-0000-7000-8000-000000000042');
INSERT INTO settlement_reversal (tenant_id, id, settlement_id, accounting_date, reason, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000076', '01890000-0000-7000-8000-000000000042', '2026-02-10', 'Counted for the wrong site', '2026-02-10', 'system:test');
