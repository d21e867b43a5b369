-- Whoever reports that a machine was out of order may be who emptied its box. Of such a count the outage explains nothing until
-- somebody else has confirmed it.
ALTER TABLE outage
  ADD COLUMN confirmed_at timestamptz,
  ADD COLUMN confirmed_by text,
  ADD CONSTRAINT outage_confirmed_whole CHECK ((confirmed_at IS NULL) = (confirmed_by IS NULL));

-- What a machine reported and what is no outage all the same, with who said so and why.
CREATE TABLE machine_fault_dismissal (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  machine_id   uuid NOT NULL,
  -- The event with which it began.
  started_at   timestamptz NOT NULL,
  kind         text NOT NULL CHECK (kind IN ('door-opened', 'fault')),
  fault        text NOT NULL,
  reason       text NOT NULL CHECK (reason <> ''),
  dismissed_at timestamptz NOT NULL,
  dismissed_by text NOT NULL,
  PRIMARY KEY (tenant_id, machine_id, started_at, kind, fault),
  CONSTRAINT machine_fault_dismissal_event FOREIGN KEY (tenant_id, machine_id, started_at, kind, fault)
    REFERENCES machine_event (tenant_id, machine_id, happened_at, kind, fault)
);
CALL app.make_tenant_table('machine_fault_dismissal', append_only => true, audited => true);
CALL app.make_texts_erasable('machine_fault_dismissal', '{reason}');

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run', 'visit-seen',
     'certificate-revocation', 'metered-amount', 'outage'));
