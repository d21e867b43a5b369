INSERT INTO variance_attribution_read (tenant_id, id, first_on, last_on, people_compared, read_at, read_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000700', '2026-01-01', '2026-01-31', 3, '2026-02-01', 'system:test';
