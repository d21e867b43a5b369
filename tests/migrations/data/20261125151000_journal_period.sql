INSERT INTO journal_period_event (tenant_id, position, kind, closed_through, reason, recorded_at, recorded_by)
VALUES (app.current_tenant(), 1, 'closed', '2024-12-31', 'Audited.', '2025-02-05', 'system:test'),
       (app.current_tenant(), 2, 'reopened', NULL, 'A payment was missing.', '2025-02-06', 'system:test');
