-- A phone that was revoked may be in strange hands, signed in. So the account registers no other before the office says that
-- it is with its owner again.
ALTER TABLE collector_device
  ADD COLUMN released_at      timestamptz,
  ADD COLUMN released_by      text,
  ADD COLUMN released_because text,
  ADD CONSTRAINT collector_device_released CHECK (num_nonnulls(released_at, released_by, released_because) IN (0, 3) AND (released_at IS NULL OR revoked_at IS NOT NULL));
CALL app.make_texts_erasable('collector_device', '{name,revoked_because,released_because}');
GRANT UPDATE (released_at, released_by, released_because) ON collector_device TO latchledger_app;

-- Who made a visit that was kept aside may withdraw it. It stays, with the reason.
ALTER TABLE phone_visit_ruling
  DROP CONSTRAINT phone_visit_ruling_kind_check,
  ADD CONSTRAINT phone_visit_ruling_kind_check CHECK (kind IN ('entered', 'discarded', 'withdrawn'));
CREATE INDEX phone_visit_kept ON phone_visit (tenant_id, received_at) WHERE outcome = 'quarantined';

-- Who was shown the readings of a visit that was kept aside. What they count of it is not blind.
CREATE TABLE kept_visit_look (
  tenant_id uuid NOT NULL REFERENCES operator (tenant_id),
  visit_id  uuid NOT NULL,
  looked_by text NOT NULL,
  looked_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, visit_id, looked_by),
  CONSTRAINT kept_visit_look_visit FOREIGN KEY (tenant_id, visit_id) REFERENCES phone_visit (tenant_id, id)
);
CALL app.make_tenant_table('kept_visit_look', append_only => true, audited => false);
