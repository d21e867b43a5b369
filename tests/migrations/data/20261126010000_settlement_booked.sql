INSERT INTO settlement (tenant_id, id, agreement_id, site_id, period_id, starts_on, ends_before, round, kind, state, currency, engine_version, inputs, inputs_digest, result, result_digest, carries,
                        takings_minor, refunds_minor, tax_minor, charges_minor, operator_share_minor, site_share_minor, earlier_minor, payable_minor, number_year, number_serial, number, issued_on, digest,
                        drafted_at, reviewed_at, reviewed_by, numbered_at, accounting_date)
SELECT tenant_id, '01890000-0000-7000-8000-000000000431', agreement_id, site_id, period_id, starts_on, ends_before, 99, kind, 'numbered', currency, engine_version, inputs, inputs_digest, result, result_digest, carries,
       takings_minor, refunds_minor, tax_minor, charges_minor, operator_share_minor, site_share_minor, earlier_minor, payable_minor, 2026, 999, 'TEST-2026-000999', '2026-03-02', '\xaa',
       drafted_at, drafted_at, 'system:test', drafted_at, ends_before + 5
  FROM settlement WHERE tenant_id = app.current_tenant() LIMIT 1;
