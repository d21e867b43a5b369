-- Certificates that are not to be believed any more, from a time on. From the moment in which that is recorded, nothing is signed
-- under them. A time that lies before it casts doubt on statements that are out already: so that nobody gets rid of a statement by
-- saying so, it counts once a second person has confirmed it, and until then the moment of recording does.
CREATE TABLE signing_certificate_revocation (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  id             uuid NOT NULL,
  certificate_id uuid NOT NULL,
  revoked_from   timestamptz NOT NULL,
  reason         text NOT NULL CHECK (reason <> ''),
  recorded_at    timestamptz NOT NULL,
  recorded_by    text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT signing_certificate_revocation_certificate FOREIGN KEY (tenant_id, certificate_id) REFERENCES signing_certificate (tenant_id, id),
  -- Said again, it can only have been earlier.
  CONSTRAINT signing_certificate_revocation_once UNIQUE (tenant_id, certificate_id, revoked_from),
  CONSTRAINT signing_certificate_revocation_not_ahead CHECK (revoked_from <= recorded_at)
);

CREATE TABLE signing_certificate_revocation_confirmation (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  revocation_id uuid NOT NULL,
  confirmed_at  timestamptz NOT NULL,
  confirmed_by  text NOT NULL,
  PRIMARY KEY (tenant_id, revocation_id),
  CONSTRAINT signing_certificate_revocation_confirmed FOREIGN KEY (tenant_id, revocation_id) REFERENCES signing_certificate_revocation (tenant_id, id)
);

CREATE FUNCTION app.guard_certificate_revocation() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF EXISTS (
    SELECT FROM signing_certificate_revocation r WHERE r.tenant_id = NEW.tenant_id AND r.id = NEW.revocation_id AND r.recorded_by = NEW.confirmed_by
       AND NOT EXISTS (SELECT FROM relaxed_record l WHERE l.tenant_id = r.tenant_id AND l.record_id = r.id AND l.rule = 'second-person')) THEN
    RAISE EXCEPTION 'revocation % was recorded by the same person', NEW.revocation_id USING ERRCODE = 'check_violation', CONSTRAINT = 'signing_certificate_revocation_second_person';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER signing_certificate_revocation_guard AFTER INSERT ON signing_certificate_revocation_confirmation
  FOR EACH ROW EXECUTE FUNCTION app.guard_certificate_revocation();

CREATE FUNCTION app.guard_statement_certificate() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF EXISTS (SELECT FROM signing_certificate_revocation r WHERE r.tenant_id = NEW.tenant_id AND r.certificate_id = NEW.certificate_id) THEN
    RAISE EXCEPTION 'certificate % is revoked', NEW.certificate_id USING ERRCODE = 'check_violation', CONSTRAINT = 'statement_certificate_not_revoked';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER statement_certificate_guard AFTER INSERT ON statement FOR EACH ROW EXECUTE FUNCTION app.guard_statement_certificate();

CALL app.make_tenant_table('signing_certificate_revocation', append_only => true, audited => true);
CALL app.make_tenant_table('signing_certificate_revocation_confirmation', append_only => true, audited => true);
CALL app.make_texts_erasable('signing_certificate_revocation', '{reason}');

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run', 'visit-seen', 'certificate-revocation'));
