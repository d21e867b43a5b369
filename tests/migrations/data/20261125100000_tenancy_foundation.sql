-- Rows of one operator as the program of this version wrote them. Run once per tenant, with that tenant set.
INSERT INTO operator (tenant_id, code, name, country, currency, locale, time_zone, paper, address_lines, settings) VALUES
  (app.current_tenant(), 'kept-' || left(app.current_tenant()::text, 8), 'Kept over every change', 'DE', 'EUR', 'de-DE', 'Europe/Berlin', 'A4', '{Lange Gasse 1,"12345 Altstadt"}', '{"tolerance": "25.00"}');
UPDATE operator SET csv_decimal = 'comma';
INSERT INTO outbox (tenant_id, id, topic, payload, relayed_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000001', 'settlement.close', '{"run": "1"}', now()),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000002', 'settlement.close', '{"run": "2"}', NULL);
INSERT INTO idempotency_record (tenant_id, key, route, body_hash, status, body) VALUES
  (app.current_tenant(), 'key-1', 'POST /v1/sites', sha256('body'), 201, '{"id":"1"}');
INSERT INTO operator_data_key (tenant_id, id, wrapped_key, master_key_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000003', '\x00010203', 'master-1');
