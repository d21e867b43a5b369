INSERT INTO policy (tenant_id, id, effective_from, direct_hand_over, acknowledge_within_hours, inventory_every_months, custodian_apart, one_person_review_on, weigh_within_percent, reason, recorded_at, recorded_by)
VALUES (app.current_tenant(), gen_random_uuid(), '2026-02-01', false, 48, 3, true, NULL, 20, 'Coins are clean', '2026-02-01', 'system:test');
