-- What a statement carries beside its figures: the address at which it can be checked, and by what it is asked about later.

-- Null: the operator has no address that a receiver could open, and no code is printed.
ALTER TABLE operator ADD COLUMN verification_address text
  CONSTRAINT operator_verification_address CHECK (verification_address ~ '^https?://[!-~]{1,150}$');

-- Whoever holds a statement may ask without an account whether it was reversed since, by a digest with a salt that is in the
-- statement alone. Settlements numbered before have neither, and their statements cannot be asked about.
ALTER TABLE settlement ADD COLUMN standing_salt bytea CHECK (length(standing_salt) = 16);
ALTER TABLE settlement ADD COLUMN standing_digest bytea CHECK (length(standing_digest) = 32);
ALTER TABLE settlement ADD CONSTRAINT settlement_standing_whole CHECK ((standing_salt IS NULL) = (standing_digest IS NULL));
ALTER TABLE settlement ADD CONSTRAINT settlement_standing_once UNIQUE (tenant_id, standing_digest);
