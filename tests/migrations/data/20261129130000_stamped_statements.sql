UPDATE operator SET statements_stamped = true WHERE tenant_id = app.current_tenant();
UPDATE work_batch SET stamp_missed_at = '2026-02-02', stamp_missed = 'the time-stamp authority gave no stamp', key_missed_at = NULL, key_missed = NULL, key_missed_why = NULL WHERE tenant_id = app.current_tenant();
