-- What was lent before this version is told so.
DO $$ BEGIN
  ASSERT (SELECT array_agg(due_back_at ORDER BY held_from) FROM custody WHERE key_copy_id = '01890000-0000-7000-8000-000000000160') = ARRAY[NULL, '2026-01-09'::timestamptz];
END $$;
