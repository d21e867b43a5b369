-- Mails to owners about a certificate that was revoked, and about the confirmation of an earlier time: one each. `sending` is written
-- before the mail leaves: where the row stays so, nobody knows whether it arrived, and it is not sent again.
CREATE TABLE certificate_mail (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  revocation_id uuid NOT NULL,
  about         text NOT NULL CHECK (about IN ('recorded', 'confirmed')),
  account_id    uuid NOT NULL,
  state         text NOT NULL CHECK (state IN ('waiting', 'sending', 'sent', 'refused', 'unclear', 'left-out')),
  attempts      integer NOT NULL DEFAULT 0 CHECK (attempts >= 0),
  changed_at    timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, revocation_id, about, account_id),
  CONSTRAINT certificate_mail_revocation FOREIGN KEY (tenant_id, revocation_id) REFERENCES signing_certificate_revocation (tenant_id, id)
);
CREATE INDEX certificate_mail_due ON certificate_mail (tenant_id, state, changed_at);

CALL app.make_tenant_table('certificate_mail', append_only => false, audited => true);
