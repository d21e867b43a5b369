-- What one person did alone where somebody else should have: discarding what they had entered, receiving or opening a bag that
-- they had filled, releasing their own account after a phone was revoked.
ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release'));
