-- Heads of the evidence log that went out by mail, one a day at most: a head that nobody outside holds proves nothing.
CREATE TABLE evidence_head_sent (
  tenant_id uuid NOT NULL REFERENCES operator (tenant_id),
  sent_on   date NOT NULL,
  size      bigint NOT NULL CHECK (size >= 1),
  root      bytea NOT NULL CHECK (length(root) = 32),
  addresses integer NOT NULL CHECK (addresses >= 1),
  sent_at   timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, sent_on)
);
CALL app.make_tenant_table('evidence_head_sent', append_only => true, audited => false);
