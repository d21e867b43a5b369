-- Heads of the evidence log that a time-stamp authority (RFC 3161) stamped, one a day at most, with its tokens. Root and size
-- stand here once more on purpose: a stamp vouches for them, whatever becomes of the head that is stored with the log.
CREATE TABLE evidence_head_stamp (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  size          bigint NOT NULL CHECK (size >= 1),
  root          bytea NOT NULL CHECK (length(root) = 32),
  asked_on      date NOT NULL,
  stamped_at    timestamptz NOT NULL,
  authority     text NOT NULL,
  policy        text NOT NULL,
  serial_number text NOT NULL,
  -- Whether its certificate led to one that the installation trusts when the token came.
  trusted       boolean NOT NULL,
  token         bytea NOT NULL CHECK (length(token) BETWEEN 1 AND 100000),
  recorded_at   timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, size)
);
CALL app.make_tenant_table('evidence_head_stamp', append_only => true, audited => false);
