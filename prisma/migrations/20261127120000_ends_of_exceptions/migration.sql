-- When it was recorded that an exception ended, beside when it did: whoever asks today what was known in May about May must not be
-- told of an end that was recorded in June.
ALTER TABLE key_exception ADD COLUMN end_recorded_at timestamptz;

-- The audit trail knows when each end was recorded. It is not told of this: nobody decided anything today.
ALTER TABLE key_exception DISABLE TRIGGER audit_row;
CALL app.for_each_tenant($$
  UPDATE key_exception x
     SET end_recorded_at = greatest(x.ended_at, x.granted_at, (SELECT min(a.recorded_at) FROM audit_entry a
           WHERE a.tenant_id = x.tenant_id AND a.table_name = 'key_exception' AND a.row_id = x.id::text AND a.action = 'update' AND a.after ->> 'ended_at' IS NOT NULL))
   WHERE x.tenant_id = app.current_tenant() AND x.ended_at IS NOT NULL$$);
ALTER TABLE key_exception ENABLE TRIGGER audit_row;

ALTER TABLE key_exception ADD CONSTRAINT key_exception_ends_once CHECK ((ended_at IS NULL) = (end_recorded_at IS NULL));
