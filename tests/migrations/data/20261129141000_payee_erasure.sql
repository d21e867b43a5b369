INSERT INTO party (tenant_id, id, code, name, locale, created_at, erased_at)
SELECT tenant_id, '01890000-0000-7000-8000-00000000f110', 'P-ERASED', 'Erased', 'en-US', '2026-01-02', '2026-02-24' FROM operator WHERE tenant_id = app.current_tenant();
