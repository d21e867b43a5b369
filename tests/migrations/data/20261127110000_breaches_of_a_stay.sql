-- What is written from this version on is told its terms by the event still, without the column that went.
DO $$ BEGIN
  UPDATE custody SET known_to = '2026-01-10' WHERE key_copy_id = '01890000-0000-7000-8000-000000000160' AND held_to IS NULL AND known_to IS NULL;
  INSERT INTO custody (tenant_id, id, key_copy_id, key_code_id, event_id, state, person_id, held_from, known_from) VALUES
    (app.current_tenant(), '01890000-0000-7000-8000-000000001271', '01890000-0000-7000-8000-000000000160', '01890000-0000-7000-8000-000000000100', '01890000-0000-7000-8000-000000000162', 'held', '01890000-0000-7000-8000-000000000014', '2026-01-03', '2026-01-10');
  ASSERT (SELECT due_back_at FROM custody WHERE id = '01890000-0000-7000-8000-000000001271') = '2026-01-09', 'the event says until when it was lent';
END $$;
