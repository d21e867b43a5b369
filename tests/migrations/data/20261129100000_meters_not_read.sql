INSERT INTO meter_not_read (tenant_id, id, meter_id, machine_id, happened_at, occasion, why, note, recorded_at, recorded_by) VALUES
  (app.current_tenant(), '01890000-0000-7000-8000-000000001240', '01890000-0000-7000-8000-000000000651', '01890000-0000-7000-8000-000000000015', '2026-01-05', 'removal', 'other', 'Covered in paint', '2026-01-06', 'system:test');
