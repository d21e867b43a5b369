INSERT INTO collection_key_holder (tenant_id, id, collection_id, person_id, boxes_exchanged, recorded_at, recorded_by)
SELECT tenant_id, '01890000-0000-7000-8000-000000000300', id, '01890000-0000-7000-8000-000000000014', false, '2026-01-05', 'system:test' FROM collection WHERE tenant_id = app.current_tenant() LIMIT 1;
