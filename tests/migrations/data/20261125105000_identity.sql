INSERT INTO identity.user_account (id, email, email_hash, name, password_hash, password_changed_at, created_at) VALUES
  (app.current_tenant(), 'owner@' || left(app.current_tenant()::text, 8) || '.example', sha256(convert_to(app.current_tenant()::text, 'UTF8')), 'Owner', '$argon2id$made-up', '2026-01-02', '2026-01-02');
INSERT INTO identity.recovery_code (account_id, code_hash) VALUES (app.current_tenant(), sha256('code'));
INSERT INTO identity.membership (tenant_id, account_id, role, created_at) VALUES (app.current_tenant(), app.current_tenant(), 'owner', '2026-01-02');
INSERT INTO identity.session (id, secret_hash, account_id, second_factor, address, user_agent, created_at, seen_at, expires_at) VALUES
  (app.current_tenant(), sha256(convert_to(app.current_tenant()::text, 'UTF8')), app.current_tenant(), 'none', '127.0.0.1', 'test', '2026-01-02', '2026-01-02', '2036-01-02');
INSERT INTO identity.api_token (tenant_id, id, name, role, scopes, secret_hash, hint, created_by, created_at, expires_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000004', 'Import', 'bookkeeper', '{collect}', sha256(convert_to('token' || app.current_tenant(), 'UTF8')), 'abcd', 'system:test', '2026-01-02', '2036-01-02');
INSERT INTO identity.one_use_link (tenant_id, id, kind, secret_hash, email, role, created_by, created_at, expires_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000005', 'invitation', sha256(convert_to('link' || app.current_tenant(), 'UTF8')), 'new@operator.example', 'auditor', 'system:test', '2026-01-02', '2026-01-09');
INSERT INTO identity.sign_in_attempt (id, subject_hash, address, tried_at) VALUES
  (app.current_tenant(), sha256('somebody'), '127.0.0.1', '2026-01-02');
