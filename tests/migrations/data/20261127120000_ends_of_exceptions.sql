INSERT INTO key_exception (tenant_id, id, site_id, label, reason, started_at, ended_at, end_recorded_at, review_on, granted_by, granted_at)
SELECT tenant_id, '01890000-0000-7000-8000-000000000065', site_id, label, reason, '2025-02-01', '2025-03-01', '2025-03-02', review_on, granted_by, '2025-02-01' FROM key_exception WHERE site_id IS NOT NULL ORDER BY id LIMIT 1;
