-- Ids are the same in every tenant on purpose: keys carry the tenant, so they do not collide.
INSERT INTO tax_area (tenant_id, id, code, name, country, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000010', 'TOWN', 'Town', 'DE', '2026-01-02');
INSERT INTO tax_rule (tenant_id, id, tax_area_id, code, valid_from, document, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000011', '01890000-0000-7000-8000-000000000010', 'VAT', '2026-01-01', '{"method": "inside"}', '2026-01-02');
INSERT INTO site (tenant_id, id, code, name, time_zone, currency, tax_area_id, opened_on, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000012', 'S-1', 'Corner', 'Europe/Berlin', 'EUR', '01890000-0000-7000-8000-000000000010', '2026-01-01', '2026-01-02');
INSERT INTO party (tenant_id, id, code, name, locale, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000013', 'P-1', 'Owner of the corner', 'de-DE', '2026-01-02');
INSERT INTO person (tenant_id, id, code, name, employed_by, started_on, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000014', 'C-1', 'Collector', 'operator', '2026-01-01', '2026-01-02');
INSERT INTO machine (tenant_id, id, tag, kind, acquired_on, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000015', 'M-1', 'pinball', '2026-01-01', '2026-01-02');
INSERT INTO game (tenant_id, id, code, title, kind, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000016', 'G-1', 'Invented game', 'pinball', '2026-01-02');
INSERT INTO placement (tenant_id, id, machine_id, site_id, placed_on, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000017', '01890000-0000-7000-8000-000000000015', '01890000-0000-7000-8000-000000000012', '2026-01-01', '2026-01-02');
INSERT INTO installation (tenant_id, id, machine_id, game_id, installed_on, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000018', '01890000-0000-7000-8000-000000000015', '01890000-0000-7000-8000-000000000016', '2026-01-01', '2026-01-02');

INSERT INTO agreement (tenant_id, id, code, site_id, party_id, started_on, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000020', 'A-1', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000013', '2026-01-01', '2026-01-02');
INSERT INTO agreement_party (tenant_id, agreement_id, party_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000013');
INSERT INTO agreement_version (tenant_id, id, agreement_id, effective_from, terms, recorded_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000021', '01890000-0000-7000-8000-000000000020', '2026-01-01', '{"cycle": "month"}', '2026-01-02');
INSERT INTO period (tenant_id, id, agreement_id, site_id, starts_on, ends_before) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000022', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000012', '2026-01-01', '2026-02-01');

INSERT INTO import_file (tenant_id, id, kind, file_name, byte_size, sha256, state, delimiter, decimal_mark, row_count, error_count, uploaded_by, uploaded_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000030', 'collections', 'january.csv', 100, sha256('january'), 'staged', ';', ',', 1, 1, 'system:test', '2026-02-01');
INSERT INTO import_row (tenant_id, import_file_id, line_number, collection_id, site_id, placement_id, machine_id, currency, collected_at, local_date, accounting_date, part, removal, coin_minor, note_minor, refund_minor, handed_minor) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000030', 2, '01890000-0000-7000-8000-000000000031', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000017', '01890000-0000-7000-8000-000000000015', 'EUR', '2026-01-20 10:00+01', '2026-01-20', '2026-01-20', 1, false, 1000, 0, 0, 0);
INSERT INTO import_error (tenant_id, import_file_id, position, line_number, column_name, code, value) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000030', 1, 3, 'coin', 'not-an-amount', 'x');
INSERT INTO collection (tenant_id, id, site_id, currency, happened_at, local_date, accounting_date, state, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000031', '01890000-0000-7000-8000-000000000012', 'EUR', '2026-01-20 10:00+01', '2026-01-20', '2026-01-20', 'counted', '2026-01-20 11:00+01', 'system:test');
INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, currency, coin_minor, note_minor, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000032', '01890000-0000-7000-8000-000000000031', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000017', '01890000-0000-7000-8000-000000000015', 'EUR', 12345, 6000, '2026-01-20 11:00+01', 'system:test');
INSERT INTO refund_slip (tenant_id, id, collection_id, site_id, placement_id, machine_id, refunded_on, currency, amount_minor, paid_by, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000033', '01890000-0000-7000-8000-000000000031', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000017', '01890000-0000-7000-8000-000000000015', '2026-01-15', 'EUR', 200, 'site', '2026-01-20 11:00+01', 'system:test');
INSERT INTO cash_handed (tenant_id, id, collection_id, site_id, party_id, currency, amount_minor, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000034', '01890000-0000-7000-8000-000000000031', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000013', 'EUR', 500, '2026-01-20 11:00+01', 'system:test');

INSERT INTO close_run (tenant_id, id, cycle, starts_on, ends_before, agreement_count, requested_by, requested_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000040', 'month', '2026-01-01', '2026-02-01', 1, 'system:test', '2026-02-02');
INSERT INTO work_batch (tenant_id, id, close_run_id, task, subject_ids, state, requested_by, created_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000041', '01890000-0000-7000-8000-000000000040', 'settle', '{01890000-0000-7000-8000-000000000020}', 'waiting', 'system:test', '2026-02-02');
INSERT INTO settlement (tenant_id, id, agreement_id, site_id, period_id, close_run_id, starts_on, ends_before, kind, state, currency, engine_version, inputs, inputs_digest, result, result_digest, carries,
    takings_minor, refunds_minor, tax_minor, charges_minor, operator_share_minor, site_share_minor, earlier_minor, payable_minor, drafted_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000042', '01890000-0000-7000-8000-000000000020', '01890000-0000-7000-8000-000000000012', '01890000-0000-7000-8000-000000000022', '01890000-0000-7000-8000-000000000040',
   '2026-01-01', '2026-02-01', 'regular', 'draft', 'EUR', '1', '{}', sha256('{}'), '{}', sha256('{}'), '{}', 18345, 200, 0, 0, 9073, 9072, 0, 8772, '2026-02-02');
INSERT INTO settlement_line (tenant_id, settlement_id, line_number, period_starts_on, step, kind, amount_minor) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000042', 1, '2026-01-01', 'takings', 'counted', 18345);
INSERT INTO settlement_event (tenant_id, id, settlement_id, kind, happened_at, happened_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000043', '01890000-0000-7000-8000-000000000042', 'drafted', '2026-02-02', 'system:test');
INSERT INTO late_change (tenant_id, id, period_id, cause, source_id, recorded_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000044', '01890000-0000-7000-8000-000000000022', 'collection', '01890000-0000-7000-8000-000000000031', '2026-02-03');
INSERT INTO late_change_settled (tenant_id, late_change_id, settlement_id) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000044', '01890000-0000-7000-8000-000000000042');
INSERT INTO number_counter (tenant_id, series, year, next_serial) VALUES (app.current_tenant(), 'statement', 2026, 7);

INSERT INTO journal_account (tenant_id, code, kind, name) VALUES
  (app.current_tenant(), 'counting-room', 'asset', 'Counting room'), (app.current_tenant(), 'takings', 'income', 'Takings');
INSERT INTO journal_entry (tenant_id, id, kind, source_id, accounting_date, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000050', 'collection', '01890000-0000-7000-8000-000000000031', '2026-01-20', '2026-01-20', 'system:test');
INSERT INTO journal_posting (tenant_id, journal_entry_id, position, account_code, currency, amount_minor) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000050', 1, 'counting-room', 'EUR', 18345),
  (app.current_tenant(), '01890000-0000-7000-8000-000000000050', 2, 'takings', 'EUR', -18345);

INSERT INTO evidence_leaf (tenant_id, leaf_index, kind, subject_id, salt, entry, leaf_hash, recorded_at) VALUES
  (app.current_tenant(), 0, 'settlement', '01890000-0000-7000-8000-000000000042', '\x000102030405060708090a0b0c0d0e0f', '{}', sha256('leaf'), '2026-02-02');
INSERT INTO evidence_head (tenant_id, size, root, recorded_at) VALUES (app.current_tenant(), 1, sha256('leaf'), '2026-02-02');
INSERT INTO evidence_frontier (tenant_id, size, nodes) VALUES (app.current_tenant(), 1, ARRAY[sha256('leaf')]);
INSERT INTO signing_certificate (tenant_id, id, source, certificate, fingerprint, sealed_private_key, valid_from, valid_to, in_use_from) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000060', 'made-here', '\x30', sha256('certificate'), '\x00', '2026-01-01', '2036-01-01', '2026-01-01');
INSERT INTO statement (tenant_id, settlement_id, certificate_id, pdf, pdf_digest, unsigned_digest, stored_at) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000000042', '01890000-0000-7000-8000-000000000060', '%PDF-1.7', sha256('pdf'), sha256('unsigned'), '2026-02-02');
