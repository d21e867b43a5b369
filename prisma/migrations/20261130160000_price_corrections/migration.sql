-- What was wrong about the worth of a unit: how much, from when on, or that it changed at all. The first entry stays as it is; the latest round holds.
CREATE TABLE meter_value_correction (
  tenant_id          uuid NOT NULL REFERENCES operator (tenant_id),
  id                 uuid NOT NULL,
  meter_id           uuid NOT NULL,
  -- Names the entry, together with the meter; never changes.
  first_effective_at timestamptz NOT NULL,
  round              integer NOT NULL CHECK (round > 0),
  effective_at       timestamptz NOT NULL,
  unit_value_minor   bigint NOT NULL CHECK (unit_value_minor > 0),
  withdrawn          boolean NOT NULL DEFAULT false,
  reason             text NOT NULL CHECK (reason <> ''),
  recorded_at        timestamptz NOT NULL,
  recorded_by        text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT meter_value_correction_round UNIQUE (tenant_id, meter_id, first_effective_at, round),
  CONSTRAINT meter_value_correction_of FOREIGN KEY (tenant_id, meter_id, first_effective_at) REFERENCES meter_value (tenant_id, meter_id, effective_at)
);
CALL app.make_tenant_table('meter_value_correction', append_only => true, audited => true);
CALL app.make_texts_erasable('meter_value_correction', '{reason}');

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run', 'visit-seen', 'certificate-revocation', 'metered-amount', 'outage', 'meter-price'));
