-- The meters of a flagged box were not read either.
INSERT INTO variance_flag_event (tenant_id, id, flag_id, kind, reasons, figures, happened_at, happened_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000681', '01890000-0000-7000-8000-000000000622', 'raised', '{meters-not-read}', '[]', '2026-01-06', 'system:test';
