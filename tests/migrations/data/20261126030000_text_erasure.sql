INSERT INTO text_erasure (tenant_id, id, person_id, table_name, column_name, row_id, took_part, before_digest, after_digest, after_salt, erased_at, erased_by)
SELECT app.current_tenant(), '01890000-0000-7000-8000-000000000900', '01890000-0000-7000-8000-000000000014', 'box_count', 'reason', '01890000-0000-7000-8000-000000000901',
       true, decode(repeat('01', 32), 'hex'), decode(repeat('02', 32), 'hex'), decode(repeat('03', 16), 'hex'), '2026-01-05', 'system:test';
