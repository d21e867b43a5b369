INSERT INTO signing_certificate (tenant_id, id, source, certificate, fingerprint, sealed_private_key, valid_from, valid_to, in_use_from) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000061', 'elsewhere', '\x31', sha256('certificate of a token'), NULL, '2026-02-01', '2036-02-01', '2026-02-03');
