-- Audit data of a machine (EVA DTS), read out at a collection: checked whole, and its readings enter the books when somebody
-- accepts them for the machine that they see named. The bytes stay, so that anybody can read them again.
CREATE TABLE audit_file (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  collection_id uuid NOT NULL,
  machine_id    uuid NOT NULL,
  sha256        bytea NOT NULL CHECK (length(sha256) = 32),
  bytes         bytea NOT NULL CHECK (length(bytes) BETWEEN 1 AND 1048576),
  state         text NOT NULL CHECK (state IN ('staged', 'accepted', 'replaced')),
  -- As the file names the machine; empty where it does not.
  serial        text NOT NULL CHECK (length(serial) <= 200),
  asset_number  text NOT NULL CHECK (length(asset_number) <= 200),
  matched_by    text NOT NULL CHECK (matched_by IN ('serial-number', 'asset-number', 'named')),
  -- Day and time of the read-out by the machine's own clock, which nobody sets by ours.
  machine_clock text CHECK (machine_clock ~ '^\d{4}-\d{2}-\d{2}( \d{2}:\d{2})?$'),
  currency      text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
  -- Whether the file says how many decimals its amounts have; if not they have those of the currency.
  decimals_told boolean NOT NULL,
  staged_at     timestamptz NOT NULL,
  staged_by     text NOT NULL,
  accepted_at   timestamptz,
  accepted_by   text,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT audit_file_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT audit_file_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  CONSTRAINT audit_file_accepted CHECK ((state = 'accepted') = (accepted_at IS NOT NULL) AND (accepted_at IS NULL) = (accepted_by IS NULL))
);
-- One waits at a time, and one is read out.
CREATE UNIQUE INDEX audit_file_waiting_once ON audit_file (tenant_id, collection_id, machine_id) WHERE state = 'staged';
CREATE UNIQUE INDEX audit_file_accepted_once ON audit_file (tenant_id, collection_id, machine_id) WHERE state = 'accepted';
CREATE INDEX audit_file_by_machine ON audit_file (tenant_id, machine_id, sha256);

-- A figure that the file tells, in minor units (of cash_vends: a number of sales).
CREATE TABLE audit_figure (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  audit_file_id uuid NOT NULL,
  name          text NOT NULL CHECK (name ~ '^[A-Za-z]{1,40}$'),
  since_reset   bigint CHECK (since_reset >= 0),
  since_set_up  bigint CHECK (since_set_up >= 0),
  PRIMARY KEY (tenant_id, audit_file_id, name),
  CONSTRAINT audit_figure_file FOREIGN KEY (tenant_id, audit_file_id) REFERENCES audit_file (tenant_id, id),
  CONSTRAINT audit_figure_order CHECK (since_reset <= since_set_up),
  CONSTRAINT audit_figure_told CHECK (since_reset IS NOT NULL OR since_set_up IS NOT NULL)
);

CALL app.make_tenant_table('audit_file', append_only => false, audited => true, not_recorded => '{bytes}');
CALL app.make_tenant_table('audit_figure', append_only => true, audited => false);
REVOKE UPDATE, DELETE ON audit_file FROM latchledger_app;
GRANT UPDATE (state, accepted_at, accepted_by) ON audit_file TO latchledger_app;
