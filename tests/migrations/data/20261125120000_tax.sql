INSERT INTO law_limit (tenant_id, id, tax_area_id, kind, site_percent, source, valid_from, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000100', '01890000-0000-7000-8000-000000000010', 'highest-site-share', 50, 'Town code, read 2026-01-02', '2026-01-01', '2026-01-02');
INSERT INTO tax_return (tenant_id, id, tax_area_id, month, position, kind, currency, tax_minor, booked_minor, carried, figures, digest, filed_on, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000101', '01890000-0000-7000-8000-000000000010', '2026-01-01', 1, 'original', 'EUR', 2900, 2899, '{}', '{}', sha256('figures'), '2026-02-10', '2026-02-10', 'system:test');
