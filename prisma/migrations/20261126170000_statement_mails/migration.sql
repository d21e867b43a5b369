-- Statements that go out by mail: one row per statement and person of its site, so nobody gets the same one twice. The address is
-- looked up when the mail goes out, and is not kept here. `sending` is written before the mail leaves: where the row
-- stays so, nobody knows whether it arrived, and only a person decides that it goes out again.
CREATE TABLE statement_mail (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  settlement_id uuid NOT NULL,
  account_id    uuid NOT NULL,
  state         text NOT NULL CHECK (state IN ('waiting', 'sending', 'sent', 'refused', 'unclear', 'left-out')),
  attempts      integer NOT NULL DEFAULT 0 CHECK (attempts >= 0),
  asked_at      timestamptz NOT NULL,
  asked_by      text NOT NULL,
  changed_at    timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, settlement_id, account_id),
  CONSTRAINT statement_mail_statement FOREIGN KEY (tenant_id, settlement_id) REFERENCES statement (tenant_id, settlement_id),
  CONSTRAINT statement_mail_tried CHECK (attempts > 0 OR state IN ('waiting', 'left-out'))
);
CREATE INDEX statement_mail_due ON statement_mail (tenant_id, state, changed_at);

CALL app.make_tenant_table('statement_mail', append_only => false, audited => true);
