INSERT INTO audit_file (tenant_id, id, collection_id, machine_id, sha256, bytes, state, serial, asset_number, matched_by, machine_clock, currency, decimals_told, staged_at, staged_by)
SELECT c.tenant_id, '01890000-0000-7000-8000-000000000951', c.id, m.id, decode(repeat('ab', 32), 'hex'), 'DXS', 'staged', 'INV-1', '', 'serial-number', '2026-01-06 10:30', 'USD', true, '2026-01-06', 'system:test'
  FROM collection c, machine m WHERE c.tenant_id = app.current_tenant() AND m.tenant_id = app.current_tenant() ORDER BY c.id, m.id LIMIT 1;
INSERT INTO audit_figure (tenant_id, audit_file_id, name, since_reset, since_set_up)
SELECT tenant_id, id, 'toBox', 17, 1700 FROM audit_file WHERE tenant_id = app.current_tenant();
