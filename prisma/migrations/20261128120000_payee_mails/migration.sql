-- A payee has an address to which their statements go, and each operator says whether statements go out by mail when somebody says
-- so or as soon as they are issued.
ALTER TABLE party ADD COLUMN email text CONSTRAINT party_email CHECK (length(email) BETWEEN 3 AND 254);
ALTER TABLE operator ADD COLUMN statement_mails text NOT NULL DEFAULT 'when-asked'
  CONSTRAINT operator_statement_mails CHECK (statement_mails IN ('when-asked', 'when-issued'));

-- Whoever gets a mail is somebody who can sign in for the site, or the payee, who may have no account.
ALTER TABLE statement_mail RENAME COLUMN account_id TO receiver_id;
-- The trail names rows by the columns of their key.
DROP TRIGGER audit_row ON statement_mail;
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON statement_mail FOR EACH ROW EXECUTE FUNCTION app.audit_row('{settlement_id,receiver_id}', '{}');
ALTER TABLE statement_mail ADD COLUMN receiver text NOT NULL DEFAULT 'member'
  CONSTRAINT statement_mail_receiver CHECK (receiver IN ('member', 'payee'));
ALTER TABLE statement_mail ALTER COLUMN receiver DROP DEFAULT;

-- The first time somebody of a site took a statement: until then it is new to them.
CREATE TABLE statement_opening (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  settlement_id uuid NOT NULL,
  account_id    uuid NOT NULL,
  opened_at     timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, settlement_id, account_id),
  CONSTRAINT statement_opening_statement FOREIGN KEY (tenant_id, settlement_id) REFERENCES statement (tenant_id, settlement_id)
);

CALL app.make_tenant_table('statement_opening', append_only => true, audited => false);
