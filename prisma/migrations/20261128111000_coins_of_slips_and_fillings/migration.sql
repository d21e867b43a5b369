-- What was given back to players out of the boxes, and what filled a change fund out of them, was coins or notes. Where the receipt
-- says so nobody has to guess it, as with cash that was handed over.
ALTER TABLE refund_slip
  ADD COLUMN coin_minor bigint,
  ADD CONSTRAINT refund_slip_coin_part CHECK (coin_minor BETWEEN 0 AND amount_minor);
ALTER TABLE cash_move
  ADD COLUMN coin_minor bigint,
  ADD CONSTRAINT cash_move_coin_part CHECK (coin_minor IS NULL OR (collection_id IS NOT NULL AND coin_minor BETWEEN 0 AND amount_minor));
