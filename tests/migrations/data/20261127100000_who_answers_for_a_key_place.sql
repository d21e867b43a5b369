UPDATE key_place_responsible SET ended_at = '2026-05-02', end_recorded_at = '2026-05-03' WHERE tenant_id = app.current_tenant() AND key_place_id = '01890000-0000-7000-8000-000000000104';
INSERT INTO key_place_responsible (tenant_id, id, key_place_id, person_id, started_at, recorded_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000001270', '01890000-0000-7000-8000-000000000104', '01890000-0000-7000-8000-000000000014', '2026-05-02', '2026-05-03');
