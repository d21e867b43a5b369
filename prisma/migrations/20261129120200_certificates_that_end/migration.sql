-- Mails to owners and bookkeepers that the certificate under which statements are signed ends: one each a month before, and a week before.
-- `sending` is written before the mail leaves: where the row stays so, nobody knows whether it arrived, and it is not sent again.
CREATE TABLE certificate_end_mail (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  certificate_id uuid NOT NULL,
  days_before    integer NOT NULL CHECK (days_before IN (30, 7)),
  account_id     uuid NOT NULL,
  state          text NOT NULL CHECK (state IN ('waiting', 'sending', 'sent', 'refused', 'unclear', 'left-out')),
  attempts       integer NOT NULL DEFAULT 0 CHECK (attempts >= 0),
  changed_at     timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, certificate_id, days_before, account_id),
  CONSTRAINT certificate_end_mail_certificate FOREIGN KEY (tenant_id, certificate_id) REFERENCES signing_certificate (tenant_id, id)
);
CREATE INDEX certificate_end_mail_due ON certificate_end_mail (tenant_id, state, changed_at);

CALL app.make_tenant_table('certificate_end_mail', append_only => false, audited => true);
