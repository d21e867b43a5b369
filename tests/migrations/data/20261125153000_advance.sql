INSERT INTO advance (tenant_id, id, agreement_id, site_id, party_id, currency, amount_minor, method, reason, document, given_on, accounting_date, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000411', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000013', 'EUR', 50000, 'bank', 'A new bar counter.', 'ADV-1', '2026-01-05', '2026-01-05', '2026-01-05', 'system:test');
INSERT INTO advance_reduction (tenant_id, id, advance_id, agreement_id, kind, amount_minor, method, reason, document, happened_on, accounting_date, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000412', '01890000-0000-7000-8000-000000000411', '01890000-0000-7000-8000-000000000020', 'paid-back', 10000, 'bank', '', 'R-9', '2026-02-10', '2026-02-10', '2026-02-10', 'system:test'),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000413', '01890000-0000-7000-8000-000000000411', '01890000-0000-7000-8000-000000000020', 'written-off', 5000, NULL, 'Agreed with the bar.', '', '2026-02-11', '2026-02-11', '2026-02-11', 'system:test');
INSERT INTO advance_recoup (tenant_id, advance_id, settlement_id, amount_minor) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000411', '01890000-0000-7000-8000-000000000042', 2000);
