-- The file that was made before downloads were noted counts as downloaded when it was made; one person gave it up.
UPDATE payment_run SET state = 'cancelled', cancelled_at = downloaded_at, cancelled_by = downloaded_by, cancel_reason = 'Never sent.'
 WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000732';
INSERT INTO relaxed_record (tenant_id, record_id, rule, kind, recorded_at, recorded_by)
VALUES (app.current_tenant(), '01890000-0000-7000-8000-000000000732', 'second-person', 'payment-run', '2026-01-09', 'user:a');
