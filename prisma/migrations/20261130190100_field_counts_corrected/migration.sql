-- A count at the machine is corrected as other counts are: the first figure stays, and the one that stands in its place names it.
ALTER TABLE field_count
  ADD COLUMN replaces_id uuid,
  ADD COLUMN reason text,
  ADD CONSTRAINT field_count_replaces FOREIGN KEY (tenant_id, replaces_id) REFERENCES field_count (tenant_id, id),
  ADD CONSTRAINT field_count_replaced_once UNIQUE (tenant_id, replaces_id),
  ADD CONSTRAINT field_count_corrected_with_reason CHECK ((replaces_id IS NULL) = (reason IS NULL)),
  DROP CONSTRAINT field_count_once;
CREATE UNIQUE INDEX field_count_once ON field_count (tenant_id, collection_id, placement_id, part) WHERE replaces_id IS NULL;
CREATE INDEX field_count_by_collection ON field_count (tenant_id, collection_id);
CALL app.make_texts_erasable('field_count', '{reason}');

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run', 'visit-seen',
     'certificate-revocation', 'metered-amount', 'outage', 'meter-price', 'cash-hand-in', 'field-count'));
