INSERT INTO journal_entry (tenant_id, id, kind, source_id, accounting_date, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000990', 'collection', '01890000-0000-7000-8000-000000000991', '2026-03-20', '2026-03-20', 'system:test');
INSERT INTO journal_posting (tenant_id, journal_entry_id, position, account_code, currency, amount_minor) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000990', 1, 'counting-room', 'EUR', 2500),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000990', 2, 'takings', 'EUR', -2500);
