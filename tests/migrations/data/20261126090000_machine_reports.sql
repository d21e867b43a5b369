INSERT INTO machine_token (tenant_id, id, machine_id, secret_hash, made_at, made_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000901', machine_id, decode(repeat('ef', 32), 'hex'), '2026-01-05', 'system:test' FROM meter WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
INSERT INTO machine_report_reading (tenant_id, meter_id, read_at, value, machine_id, capacity, token_id, received_at)
SELECT tenant_id, id, '2026-01-06', 17, machine_id, capacity, '01890000-0000-7000-8000-000000000901', '2026-01-06' FROM meter WHERE tenant_id = app.current_tenant() ORDER BY id LIMIT 1;
INSERT INTO machine_event (tenant_id, machine_id, happened_at, kind, fault, token_id, received_at)
SELECT tenant_id, machine_id, '2026-01-06', 'fault', 'E-12', id, '2026-01-06' FROM machine_token WHERE tenant_id = app.current_tenant();
