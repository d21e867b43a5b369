-- A price changes whether or not somebody reads the meters then. What was played before and after it is not known apart until the reading is entered.
ALTER TABLE cash_variance
  DROP CONSTRAINT cash_variance_unknown_check,
  ADD CONSTRAINT cash_variance_unknown_check CHECK (unknown <@ ARRAY['not-read', 'first-reading', 'reset-or-wrong', 'above-ceiling', 'price-unread', 'count-waits']);
ALTER TABLE meter_not_read
  DROP CONSTRAINT meter_not_read_occasion_check,
  ADD CONSTRAINT meter_not_read_occasion_check CHECK (occasion IN ('collection', 'placement', 'removal', 'game-change', 'price-change', 'in-service', 'out-of-service'));
