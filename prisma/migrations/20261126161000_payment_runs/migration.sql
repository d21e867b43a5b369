-- Payments of issued settlements in one file for the bank. A run is drafted, its file is made, it is sent, and what it paid is
-- recorded; before it was sent it can be cancelled. The file holds account numbers, so it is sealed.
CREATE TABLE payment_run (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  id             uuid NOT NULL,
  state          text NOT NULL CHECK (state IN ('draft', 'file-made', 'sent', 'paid', 'cancelled')),
  kind           text NOT NULL CHECK (kind IN ('iban', 'us')),
  from_detail_id uuid NOT NULL,
  currency       text NOT NULL,
  execute_on     date NOT NULL,
  transfers      integer NOT NULL CHECK (transfers > 0),
  sum_minor      bigint NOT NULL CHECK (sum_minor > 0),
  created_at     timestamptz NOT NULL,
  created_by     text NOT NULL,
  file_made_at   timestamptz,
  file_made_on   date,
  file_made_by   text,
  sealed_file    bytea,
  data_key_id    uuid,
  file_sha256    bytea CHECK (octet_length(file_sha256) = 32),
  entry_hash     text CHECK (entry_hash ~ '^[0-9]{10}$'),
  sent_on        date,
  sent_at        timestamptz,
  sent_by        text,
  paid_on        date,
  recorded_at    timestamptz,
  recorded_by    text,
  cancelled_at   timestamptz,
  cancelled_by   text,
  cancel_reason  text,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, id, currency),
  CONSTRAINT payment_run_from FOREIGN KEY (tenant_id, from_detail_id) REFERENCES bank_detail (tenant_id, id),
  CONSTRAINT payment_run_data_key FOREIGN KEY (tenant_id, data_key_id) REFERENCES operator_data_key (tenant_id, id),
  CONSTRAINT payment_run_us_dollars CHECK (kind <> 'us' OR currency = 'USD'),
  CONSTRAINT payment_run_file_whole CHECK (num_nonnulls(file_made_at, file_made_on, file_made_by, sealed_file, data_key_id, file_sha256) IN (0, 6)),
  CONSTRAINT payment_run_sent_whole CHECK (num_nonnulls(sent_on, sent_at, sent_by) IN (0, 3)),
  CONSTRAINT payment_run_paid_whole CHECK (num_nonnulls(paid_on, recorded_at, recorded_by) IN (0, 3)),
  CONSTRAINT payment_run_cancelled_whole CHECK (num_nonnulls(cancelled_at, cancelled_by, cancel_reason) IN (0, 3)),
  CONSTRAINT payment_run_is_what_happened CHECK (CASE state
    WHEN 'draft' THEN num_nonnulls(file_made_at, sent_at, recorded_at, cancelled_at) = 0
    WHEN 'file-made' THEN file_made_at IS NOT NULL AND num_nonnulls(sent_at, recorded_at, cancelled_at) = 0
    WHEN 'sent' THEN num_nonnulls(file_made_at, sent_at) = 2 AND num_nonnulls(recorded_at, cancelled_at) = 0
    WHEN 'paid' THEN num_nonnulls(file_made_at, sent_at, recorded_at) = 3 AND cancelled_at IS NULL
    ELSE cancelled_at IS NOT NULL AND num_nonnulls(sent_at, recorded_at) = 0 END)
);
CREATE INDEX payment_run_by_time ON payment_run (tenant_id, created_at, id);

-- One transfer of a run: what a payee gets of one agreement.
CREATE TABLE payment_run_transfer (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  id               uuid NOT NULL,
  run_id           uuid NOT NULL,
  position         integer NOT NULL CHECK (position >= 1),
  agreement_id     uuid NOT NULL,
  site_id          uuid NOT NULL,
  party_id         uuid NOT NULL,
  bank_detail_id   uuid NOT NULL,
  currency         text NOT NULL,
  amount_minor     bigint NOT NULL CHECK (amount_minor > 0),
  -- What was paid on account before and is kept back.
  on_account_minor bigint NOT NULL CHECK (on_account_minor >= 0),
  payment_id       uuid,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT payment_run_transfer_place UNIQUE (tenant_id, run_id, position),
  CONSTRAINT payment_run_transfer_payment_once UNIQUE (tenant_id, payment_id),
  CONSTRAINT payment_run_transfer_run FOREIGN KEY (tenant_id, run_id, currency) REFERENCES payment_run (tenant_id, id, currency),
  CONSTRAINT payment_run_transfer_agreement FOREIGN KEY (tenant_id, agreement_id, site_id) REFERENCES agreement (tenant_id, id, site_id),
  CONSTRAINT payment_run_transfer_party FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id),
  CONSTRAINT payment_run_transfer_account FOREIGN KEY (tenant_id, bank_detail_id) REFERENCES bank_detail (tenant_id, id),
  CONSTRAINT payment_run_transfer_payment FOREIGN KEY (tenant_id, payment_id) REFERENCES payment (tenant_id, id)
);

-- What a transfer pays. A settlement is in one run at most, until that run is cancelled or its payment comes back.
CREATE TABLE payment_run_item (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  transfer_id  uuid NOT NULL,
  open_item_id uuid NOT NULL,
  amount_minor bigint NOT NULL CHECK (amount_minor > 0),
  released_at  timestamptz,
  PRIMARY KEY (tenant_id, transfer_id, open_item_id),
  CONSTRAINT payment_run_item_transfer FOREIGN KEY (tenant_id, transfer_id) REFERENCES payment_run_transfer (tenant_id, id),
  CONSTRAINT payment_run_item_item FOREIGN KEY (tenant_id, open_item_id) REFERENCES open_item (tenant_id, id)
);
CREATE UNIQUE INDEX payment_run_item_once ON payment_run_item (tenant_id, open_item_id) WHERE released_at IS NULL;

-- A run goes forward only, and what it pays never changes.
CREATE FUNCTION app.guard_payment_run() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF NOT app.is_erasing() AND (OLD.state, NEW.state) NOT IN (('draft', 'file-made'), ('draft', 'cancelled'), ('file-made', 'cancelled'), ('file-made', 'sent'), ('sent', 'paid')) THEN
    RAISE EXCEPTION 'a payment run does not go from % to %', OLD.state, NEW.state USING ERRCODE = 'check_violation', CONSTRAINT = 'payment_run_goes_forward';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER payment_run_guard BEFORE UPDATE ON payment_run FOR EACH ROW EXECUTE FUNCTION app.guard_payment_run();

CREATE FUNCTION app.release_returned_items() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  UPDATE payment_run_item i SET released_at = NEW.recorded_at
    FROM payment_run_transfer t
   WHERE t.tenant_id = NEW.tenant_id AND t.payment_id = NEW.payment_id AND i.tenant_id = t.tenant_id AND i.transfer_id = t.id AND i.released_at IS NULL;
  RETURN NULL;
END $$;
CREATE TRIGGER release_returned_items AFTER INSERT ON payment_return FOR EACH ROW EXECUTE FUNCTION app.release_returned_items();

CALL app.make_tenant_table('payment_run', append_only => false, audited => true, not_recorded => '{sealed_file}');
CALL app.make_tenant_table('payment_run_transfer', append_only => false, audited => false);
CALL app.make_tenant_table('payment_run_item', append_only => false, audited => false);
CALL app.make_texts_erasable('payment_run', '{cancel_reason}');
REVOKE UPDATE, DELETE ON payment_run, payment_run_transfer, payment_run_item FROM latchledger_app;
GRANT UPDATE (state, file_made_at, file_made_on, file_made_by, sealed_file, data_key_id, file_sha256, entry_hash, sent_on, sent_at, sent_by, paid_on, recorded_at, recorded_by,
              cancelled_at, cancelled_by, cancel_reason) ON payment_run TO latchledger_app;
GRANT UPDATE (payment_id) ON payment_run_transfer TO latchledger_app;
GRANT UPDATE (released_at) ON payment_run_item TO latchledger_app;
REVOKE SELECT ON payment_run FROM latchledger_reader;
GRANT SELECT (tenant_id, id, state, kind, from_detail_id, currency, execute_on, transfers, sum_minor, created_at, created_by, file_made_at, file_made_on, file_made_by, data_key_id,
              file_sha256, entry_hash, sent_on, sent_at, sent_by, paid_on, recorded_at, recorded_by, cancelled_at, cancelled_by, cancel_reason) ON payment_run TO latchledger_reader;
