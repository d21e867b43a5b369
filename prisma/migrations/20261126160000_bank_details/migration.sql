-- Where a payee is paid, or, without a party, where the operator pays from. Whoever can change that can send money to
-- themselves: so nothing is ever overwritten, a second person decides, and the account itself is sealed under the operator's
-- data key. Country and last digits are what people see of it.
CREATE TABLE bank_detail (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  id             uuid NOT NULL,
  party_id       uuid,
  kind           text NOT NULL CHECK (kind IN ('iban', 'us')),
  sealed_account bytea NOT NULL,
  data_key_id    uuid NOT NULL,
  country        text NOT NULL CHECK (country ~ '^[A-Z]{2}$'),
  ending         text NOT NULL CHECK (ending ~ '^[A-Za-z0-9-]{0,4}$'),
  reason         text NOT NULL CHECK (reason <> ''),
  proposed_at    timestamptz NOT NULL,
  proposed_by    text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT bank_detail_us_account CHECK (kind <> 'us' OR country = 'US'),
  CONSTRAINT bank_detail_party FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id),
  CONSTRAINT bank_detail_data_key FOREIGN KEY (tenant_id, data_key_id) REFERENCES operator_data_key (tenant_id, id)
);
CREATE INDEX bank_detail_by_party ON bank_detail (tenant_id, party_id, proposed_at, id);
CREATE INDEX bank_detail_by_time ON bank_detail (tenant_id, proposed_at, id);

-- What became of a proposal. In force is what was confirmed last, unless it was withdrawn.
CREATE TABLE bank_detail_event (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  bank_detail_id uuid NOT NULL,
  kind           text NOT NULL CHECK (kind IN ('confirmed', 'rejected', 'withdrawn')),
  reason         text,
  happened_at    timestamptz NOT NULL,
  happened_by    text NOT NULL,
  PRIMARY KEY (tenant_id, bank_detail_id, kind),
  CONSTRAINT bank_detail_event_detail FOREIGN KEY (tenant_id, bank_detail_id) REFERENCES bank_detail (tenant_id, id),
  CONSTRAINT bank_detail_event_says_why CHECK (kind = 'confirmed' OR reason <> '')
);
CREATE UNIQUE INDEX bank_detail_decided_once ON bank_detail_event (tenant_id, bank_detail_id) WHERE kind <> 'withdrawn';

-- Which of these were announced by mail, and to how many addresses.
CREATE TABLE bank_detail_notice (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  bank_detail_id uuid NOT NULL,
  about          text NOT NULL CHECK (about IN ('proposed', 'confirmed', 'rejected', 'withdrawn')),
  addresses      integer NOT NULL CHECK (addresses >= 0),
  sent_at        timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, bank_detail_id, about),
  CONSTRAINT bank_detail_notice_detail FOREIGN KEY (tenant_id, bank_detail_id) REFERENCES bank_detail (tenant_id, id)
);

-- Only what was confirmed can be withdrawn, and what is in force was decided by a second person or is labelled.
CREATE FUNCTION app.guard_bank_detail_event() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF NEW.kind = 'withdrawn' AND NOT EXISTS (
    SELECT FROM bank_detail_event e WHERE e.tenant_id = NEW.tenant_id AND e.bank_detail_id = NEW.bank_detail_id AND e.kind = 'confirmed') THEN
    RAISE EXCEPTION 'bank detail % was not confirmed', NEW.bank_detail_id USING ERRCODE = 'check_violation', CONSTRAINT = 'bank_detail_withdrawn_after_confirmed';
  END IF;
  IF NEW.kind = 'confirmed' AND EXISTS (
    SELECT FROM bank_detail d WHERE d.tenant_id = NEW.tenant_id AND d.id = NEW.bank_detail_id AND d.proposed_by = NEW.happened_by
       AND NOT EXISTS (SELECT FROM relaxed_record r WHERE r.tenant_id = d.tenant_id AND r.record_id = d.id AND r.rule = 'second-person')) THEN
    RAISE EXCEPTION 'bank detail % was proposed by the same person', NEW.bank_detail_id USING ERRCODE = 'check_violation', CONSTRAINT = 'bank_detail_second_person';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER bank_detail_event_guard AFTER INSERT ON bank_detail_event FOR EACH ROW EXECUTE FUNCTION app.guard_bank_detail_event();

CALL app.make_tenant_table('bank_detail', append_only => true, audited => true, not_recorded => '{sealed_account}');
CALL app.make_tenant_table('bank_detail_event', append_only => true, audited => true);
CALL app.make_tenant_table('bank_detail_notice', append_only => true, audited => false);
CALL app.make_texts_erasable('bank_detail', '{reason}');
CALL app.make_texts_erasable('bank_detail_event', '{reason}');

REVOKE SELECT ON bank_detail FROM latchledger_reader;
GRANT SELECT (tenant_id, id, party_id, kind, data_key_id, country, ending, reason, proposed_at, proposed_by) ON bank_detail TO latchledger_reader;

ALTER TABLE relaxed_record DROP CONSTRAINT relaxed_record_kind_check;
ALTER TABLE relaxed_record ADD CONSTRAINT relaxed_record_kind_check
  CHECK (kind IN ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag', 'bank-detail'));
