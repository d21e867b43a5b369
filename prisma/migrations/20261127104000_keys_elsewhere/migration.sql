-- A certificate whose key lies in a token or with another program: there is nothing of it to seal.
ALTER TABLE signing_certificate
  ALTER COLUMN sealed_private_key DROP NOT NULL,
  DROP CONSTRAINT signing_certificate_source_check,
  ADD CONSTRAINT signing_certificate_source_check CHECK (source IN ('made-here', 'own', 'elsewhere')),
  ADD CONSTRAINT signing_certificate_key_at_hand CHECK ((source = 'elsewhere') = (sealed_private_key IS NULL));
