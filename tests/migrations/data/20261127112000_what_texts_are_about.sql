-- Of every text that may be erased, and of every image of the trail, it is told when it was written.
DO $$ BEGIN
  ASSERT (SELECT about FROM app.about_text('key_place', 'name', '01890000-0000-7000-8000-000000000104')) @> ARRAY['HOOK-1'], 'a place is told by its code';
  ASSERT (SELECT (app.about_text('custody_event', 'reason', id::text)).about = ARRAY['K-1'] FROM custody_event WHERE id = '01890000-0000-7000-8000-000000000110'), 'an event is told by its copies';
  ASSERT (SELECT bool_and((app.about_text('audit_entry', 'after', id::text)).written_at = recorded_at) FROM audit_entry), 'an image is told by its entry';
END $$;
