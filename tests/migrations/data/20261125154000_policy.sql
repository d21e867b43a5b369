INSERT INTO policy (tenant_id, id, effective_from, direct_hand_over, acknowledge_within_hours, inventory_every_months, custodian_apart, one_person_review_on, reason, recorded_at, recorded_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000540', '2026-01-06', true, 72, 6, false, '2026-06-30', 'One van, one person', '2026-01-05', 'system:test';
INSERT INTO relaxed_record (tenant_id, record_id, rule, kind, recorded_at, recorded_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000541', 'second-person', 'count', '2026-01-05', 'system:test';
