-- What records of custody carry beside the movement itself: who stood alone, and the signatures of people without an account.

-- A business of one has nobody to check its corrections. What it records alone says so.
ALTER TABLE custody_event ADD COLUMN without_second_person boolean NOT NULL DEFAULT false;

-- `signed`: a receipt with name and signature, given by somebody without an account.
ALTER TABLE custody_acknowledgement DROP CONSTRAINT custody_acknowledgement_how_check;
ALTER TABLE custody_acknowledgement ADD CONSTRAINT custody_acknowledgement_how_check CHECK (how IN ('recorded', 'signed-in', 'link', 'signed'));

-- A name and a signature are somebody's own, so that they can be erased; the digest under which they stand in the evidence
-- log stays. The salt keeps a name from being guessed until its digest fits, and goes with it.
CREATE TABLE custody_signature (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  event_id    uuid NOT NULL,
  side        text NOT NULL,
  signed_name text CHECK (length(signed_name) BETWEEN 1 AND 200),
  signature   text CHECK (length(signature) BETWEEN 1 AND 40000),
  salt        bytea CHECK (length(salt) = 16),
  digest      bytea NOT NULL CHECK (length(digest) = 32),
  erased_at   timestamptz,
  erased_by   text,
  PRIMARY KEY (tenant_id, event_id, side),
  CONSTRAINT custody_signature_of_its_acknowledgement FOREIGN KEY (tenant_id, event_id, side) REFERENCES custody_acknowledgement (tenant_id, event_id, side),
  CONSTRAINT custody_signature_whole_or_erased CHECK (num_nonnulls(signed_name, signature, salt) = CASE WHEN erased_at IS NULL THEN 3 ELSE 0 END),
  CONSTRAINT custody_signature_erased_by_somebody CHECK ((erased_at IS NULL) = (erased_by IS NULL))
);

CREATE FUNCTION app.guard_custody_signature() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF TG_OP = 'UPDATE' AND OLD.erased_at IS NULL AND NEW.erased_at IS NOT NULL
     AND (NEW.tenant_id, NEW.event_id, NEW.side, NEW.digest) = (OLD.tenant_id, OLD.event_id, OLD.side, OLD.digest) THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION 'the signature of % is as it was given', OLD.event_id
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'custody_signature_stays';
END $$;
CREATE TRIGGER custody_signature_stays BEFORE UPDATE OR DELETE ON custody_signature
  FOR EACH ROW EXECUTE FUNCTION app.guard_custody_signature();

CALL app.make_tenant_table('custody_signature', append_only => false, audited => false);
REVOKE DELETE ON custody_signature FROM latchledger_app;
REVOKE SELECT ON custody_signature FROM latchledger_reader;
