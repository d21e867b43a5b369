INSERT INTO law_limit (tenant_id, id, tax_area_id, kind, site_percent, source, valid_from, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000100', '01890000-0000-7000-8000-000000000010', 'highest-site-share', 50, 'Town code, read 2026-01-02', '2026-01-01', '2026-01-02');
