-- A change of the address to which a payee's statements go, with the mail about it to the address before: whoever redirects the mails of
-- a payee cannot keep it from them. `sending` is written before the mail leaves: where the row stays so, nobody knows whether it
-- arrived, and it is not sent again. The trail has the change on the party itself, and names nobody's address by these rows: they go with the party.
CREATE TABLE party_address_change (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  party_id    uuid NOT NULL,
  old_email   text NOT NULL CHECK (length(old_email) BETWEEN 3 AND 254),
  new_email   text CHECK (length(new_email) BETWEEN 3 AND 254),
  happened_at timestamptz NOT NULL,
  happened_by text NOT NULL,
  state       text NOT NULL CHECK (state IN ('waiting', 'sending', 'sent', 'refused', 'unclear')),
  attempts    integer NOT NULL DEFAULT 0 CHECK (attempts >= 0),
  changed_at  timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT party_address_change_party FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id)
);
CREATE INDEX party_address_change_due ON party_address_change (tenant_id, state, changed_at);
CREATE INDEX party_address_change_by_party ON party_address_change (tenant_id, party_id, happened_at);
CALL app.make_tenant_table('party_address_change', append_only => false, audited => false);

-- What happened to a payee's bank account, by mail to the addresses known before: as they stood when it happened.
CREATE TABLE bank_detail_payee_mail (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  bank_detail_id uuid NOT NULL,
  about          text NOT NULL CHECK (about IN ('proposed', 'confirmed', 'rejected', 'withdrawn')),
  email          text NOT NULL CHECK (length(email) BETWEEN 3 AND 254),
  state          text NOT NULL CHECK (state IN ('waiting', 'sending', 'sent', 'refused', 'unclear')),
  attempts       integer NOT NULL DEFAULT 0 CHECK (attempts >= 0),
  changed_at     timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, bank_detail_id, about, email),
  CONSTRAINT bank_detail_payee_mail_detail FOREIGN KEY (tenant_id, bank_detail_id) REFERENCES bank_detail (tenant_id, id)
);
CREATE INDEX bank_detail_payee_mail_due ON bank_detail_payee_mail (tenant_id, state, changed_at);
CALL app.make_tenant_table('bank_detail_payee_mail', append_only => false, audited => false);
