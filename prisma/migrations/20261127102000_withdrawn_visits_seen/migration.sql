-- Cash was carried, and whoever carried it says that the visit is none: somebody else has to have seen that.
CREATE TABLE withdrawn_visit_seen (
  tenant_id uuid NOT NULL REFERENCES operator (tenant_id),
  visit_id  uuid NOT NULL,
  -- Only a ruling of this kind is seen.
  kind      text NOT NULL DEFAULT 'withdrawn' CHECK (kind = 'withdrawn'),
  seen_at   timestamptz NOT NULL,
  seen_by   text NOT NULL,
  PRIMARY KEY (tenant_id, visit_id)
);
ALTER TABLE phone_visit_ruling ADD CONSTRAINT phone_visit_ruling_of_kind UNIQUE (tenant_id, visit_id, kind);
ALTER TABLE withdrawn_visit_seen ADD CONSTRAINT withdrawn_visit_seen_ruling FOREIGN KEY (tenant_id, visit_id, kind) REFERENCES phone_visit_ruling (tenant_id, visit_id, kind);
CALL app.make_tenant_table('withdrawn_visit_seen', append_only => true, audited => true);

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run', 'visit-seen'));
