-- Boxes that were counted whole at the machine: from then on their cash is with who collected, until the counting room says what
-- it received of it. Collections from before know of no hand-in, and stay as they were booked.
ALTER TABLE collection ADD COLUMN counted_at_machine boolean NOT NULL DEFAULT false;
COMMENT ON COLUMN collection.counted_at_machine IS 'The counts that settle were made at the machines. Where a collector is named, the cash is with them until it is handed in.';

ALTER TABLE cash_move
  DROP CONSTRAINT cash_move_kind_check,
  ADD CONSTRAINT cash_move_kind_check CHECK (kind IN ('float-given', 'float-returned', 'fund-filled', 'fund-emptied', 'handed-in', 'paid-in')),
  DROP CONSTRAINT cash_move_names_its_places,
  ADD CONSTRAINT cash_move_names_its_places CHECK (CASE kind
    WHEN 'float-given' THEN collector_id IS NOT NULL AND fund_id IS NULL AND collection_id IS NULL
    WHEN 'float-returned' THEN collector_id IS NOT NULL AND fund_id IS NULL AND collection_id IS NULL
    WHEN 'handed-in' THEN collector_id IS NOT NULL AND fund_id IS NULL AND collection_id IS NULL
    WHEN 'fund-filled' THEN fund_id IS NOT NULL AND num_nonnulls(collector_id, collection_id) <= 1
    WHEN 'fund-emptied' THEN fund_id IS NOT NULL AND collection_id IS NULL
    ELSE num_nonnulls(collector_id, fund_id, collection_id) = 0 END),
  DROP CONSTRAINT cash_move_counted_on,
  -- Of what is handed in: the day of the visits that it comes from.
  ADD CONSTRAINT cash_move_counted_on CHECK ((kind IN ('handed-in', 'paid-in')) = (counted_on IS NOT NULL));

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run', 'visit-seen',
     'certificate-revocation', 'metered-amount', 'outage', 'meter-price', 'cash-hand-in'));
