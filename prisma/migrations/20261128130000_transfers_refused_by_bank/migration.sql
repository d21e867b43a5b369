-- A bank that takes a file may still refuse single transfers of it: no payment of these is recorded, why is, and their settlements
-- are free for another run.
ALTER TABLE payment_run_transfer
  ADD COLUMN refused_because text CONSTRAINT payment_run_transfer_refused_because CHECK (refused_because IN ('number-wrong', 'account-closed', 'account-blocked', 'not-said')),
  ADD CONSTRAINT payment_run_transfer_paid_or_refused CHECK (num_nonnulls(payment_id, refused_because) <= 1);

GRANT UPDATE (refused_because) ON payment_run_transfer TO latchledger_app;
