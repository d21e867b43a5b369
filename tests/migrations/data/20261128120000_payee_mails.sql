INSERT INTO party (tenant_id, id, code, name, locale, email, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-00000000fa01', 'P-MAIL', 'Kettle Hospitality', 'de-AT', 'desk@kettle.example', '2026-01-01');
INSERT INTO statement_mail (tenant_id, settlement_id, receiver_id, receiver, state, attempts, asked_at, asked_by, changed_at)
SELECT tenant_id, settlement_id, '01890000-0000-7000-8000-00000000fa01', 'payee', 'sent', 1, '2026-02-02', 'user:a', '2026-02-02' FROM statement WHERE tenant_id = app.current_tenant() LIMIT 1;
INSERT INTO statement_opening (tenant_id, settlement_id, account_id, opened_at)
SELECT tenant_id, settlement_id, '01890000-0000-7000-8000-000000000901', '2026-02-03' FROM statement WHERE tenant_id = app.current_tenant() LIMIT 1;
