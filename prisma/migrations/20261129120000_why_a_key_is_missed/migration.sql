-- Statements also wait where the certificate that is to sign has ended or is revoked, or where its key does not open here: which of these,
-- so that whoever waits is told what to do. Until now there was one reason.
ALTER TABLE work_batch ADD COLUMN key_missed_why text CONSTRAINT work_batch_key_missed_why CHECK (key_missed_why IN ('out-of-reach', 'expired', 'revoked', 'not-opened'));
CALL app.for_each_tenant($$UPDATE work_batch SET key_missed_why = 'out-of-reach' WHERE key_missed_at IS NOT NULL$$);
ALTER TABLE work_batch DROP CONSTRAINT work_batch_key_missed;
ALTER TABLE work_batch ADD CONSTRAINT work_batch_key_missed CHECK (num_nulls(key_missed_at, key_missed, key_missed_why) IN (0, 3));
