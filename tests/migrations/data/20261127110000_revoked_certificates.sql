INSERT INTO signing_certificate_revocation (tenant_id, id, certificate_id, revoked_from, reason, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000062', '01890000-0000-7000-8000-000000000061', '2026-02-20', 'The token was lost.', '2026-02-21', 'user:a');
INSERT INTO signing_certificate_revocation_confirmation (tenant_id, revocation_id, confirmed_at, confirmed_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000062', '2026-02-22', 'user:b');
