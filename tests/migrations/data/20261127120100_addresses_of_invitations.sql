INSERT INTO identity.one_use_link (tenant_id, id, kind, secret_hash, email, role, person_id, created_by, created_at, expires_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000066', 'invitation', sha256(convert_to('whole address' || app.current_tenant(), 'UTF8')), 'route-seven@operator.example', 'collector', '01890000-0000-7000-8000-000000000014', 'system:test', '2026-01-02', '2026-01-09');
DO $$ BEGIN
  ASSERT (SELECT remaining = '[erased]' AND took_part FROM app.texts_naming('01890000-0000-7000-8000-000000000014') WHERE said = 'route-seven@operator.example'), 'an address goes as a whole';
END $$;
