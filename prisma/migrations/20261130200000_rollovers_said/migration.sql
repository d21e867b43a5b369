-- Where a machine could run through all that a meter shows between two readings, a fall says nothing of itself: a second person says that the meter passed its last value.
ALTER TABLE meter_reading
  ADD COLUMN passed_end boolean NOT NULL DEFAULT false,
  ADD CONSTRAINT meter_reading_passed_end CHECK (NOT passed_end OR (replaces_id IS NOT NULL AND value IS NOT NULL));
ALTER TABLE cash_variance
  DROP CONSTRAINT cash_variance_unknown_check,
  ADD CONSTRAINT cash_variance_unknown_check CHECK (unknown <@ ARRAY['not-read', 'first-reading', 'reset-or-wrong', 'rollover-or-reset', 'above-ceiling', 'price-unread', 'board-unread', 'count-waits']);
