-- The flagged box held a whole round of a meter more as well.
INSERT INTO variance_flag_event (tenant_id, id, flag_id, kind, reasons, figures, happened_at, happened_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000682', '01890000-0000-7000-8000-000000000622', 'raised', '{round-unseen}', '[]', '2026-01-06', 'system:test';
