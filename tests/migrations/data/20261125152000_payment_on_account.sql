INSERT INTO payment_shift (tenant_id, id, payment_id, amount_minor, accounting_date, note, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000411', '01890000-0000-7000-8000-000000000072', -400, '2026-02-20', NULL, '2026-02-20', 'system:test'),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000412', '01890000-0000-7000-8000-000000000072', 400, '2026-02-21', 'For March.', '2026-02-21', 'system:test');
