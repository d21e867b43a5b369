-- What the meters of a box imply, for a machine whose meters are not recorded, told by whoever read them: in the counting room
-- nobody sees it or types it. The latest that was entered counts, where no count of the box has an amount of its own.
CREATE TABLE box_metered (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  collection_id uuid NOT NULL,
  machine_id    uuid NOT NULL,
  metered_minor bigint NOT NULL CHECK (metered_minor >= 0),
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT box_metered_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT box_metered_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id)
);
CREATE INDEX box_metered_by_box ON box_metered (tenant_id, collection_id, machine_id, recorded_at DESC, id DESC);
CALL app.make_tenant_table('box_metered', append_only => true, audited => true);

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run', 'visit-seen', 'certificate-revocation', 'metered-amount'));
