-- What became of each mail about an account, by person: where one mailbox takes nothing, the others are told nevertheless, and
-- nobody is told twice. `sending` is written before the mail leaves: where the row stays so, nobody knows whether it arrived.
CREATE TABLE bank_detail_mail (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  bank_detail_id uuid NOT NULL,
  about          text NOT NULL CHECK (about IN ('proposed', 'confirmed', 'rejected', 'withdrawn')),
  account_id     uuid NOT NULL,
  state          text NOT NULL CHECK (state IN ('sending', 'sent', 'refused', 'unclear')),
  attempts       integer NOT NULL CHECK (attempts > 0),
  changed_at     timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, bank_detail_id, about, account_id),
  CONSTRAINT bank_detail_mail_detail FOREIGN KEY (tenant_id, bank_detail_id) REFERENCES bank_detail (tenant_id, id)
);

CALL app.make_tenant_table('bank_detail_mail', append_only => false, audited => false);
