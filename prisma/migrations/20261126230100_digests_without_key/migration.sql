-- Digests without a key from which account numbers, taxpayer numbers and passphrases could be guessed, and answers that hold in
-- clear what is sealed elsewhere: they go, over all operators at once. From now on a digest has a key.
ALTER TABLE idempotency_record NO FORCE ROW LEVEL SECURITY;
DELETE FROM idempotency_record WHERE route ~ '^POST /v1/(bank-details|taxpayer-numbers|signing-certificates)([/?]|$)';
ALTER TABLE idempotency_record FORCE ROW LEVEL SECURITY;
COMMENT ON COLUMN idempotency_record.body_hash IS 'HMAC-SHA-256 of the body under a key that is made from the master key.';
