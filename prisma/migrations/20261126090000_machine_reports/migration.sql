-- A machine, or the payment device in it, that reports by itself: what it may say is about this one machine.
CREATE TABLE machine_token (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  machine_id  uuid NOT NULL,
  secret_hash bytea NOT NULL CHECK (length(secret_hash) = 32),
  made_at     timestamptz NOT NULL,
  made_by     text NOT NULL,
  revoked_at  timestamptz,
  revoked_by  text,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT machine_token_secret_once UNIQUE (tenant_id, secret_hash),
  CONSTRAINT machine_token_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  CONSTRAINT machine_token_revoked CHECK ((revoked_at IS NULL) = (revoked_by IS NULL))
);
CREATE INDEX machine_token_by_machine ON machine_token (tenant_id, machine_id);

-- What a machine said that a meter shows. It stands beside the readings of people and replaces none. The key is what makes
-- a report that comes twice one: two values of one moment are two reports, and both stay.
CREATE TABLE machine_report_reading (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  meter_id    uuid NOT NULL,
  read_at     timestamptz NOT NULL,
  value       bigint NOT NULL CHECK (value >= 0 AND value < capacity),
  machine_id  uuid NOT NULL,
  capacity    bigint NOT NULL,
  token_id    uuid NOT NULL,
  received_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, meter_id, read_at, value),
  CONSTRAINT machine_report_reading_meter FOREIGN KEY (tenant_id, meter_id, machine_id, capacity) REFERENCES meter (tenant_id, id, machine_id, capacity),
  CONSTRAINT machine_report_reading_token FOREIGN KEY (tenant_id, token_id) REFERENCES machine_token (tenant_id, id)
);
CREATE INDEX machine_report_reading_by_machine ON machine_report_reading (tenant_id, machine_id, read_at);

CREATE TABLE machine_event (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  machine_id  uuid NOT NULL,
  happened_at timestamptz NOT NULL,
  kind        text NOT NULL CHECK (kind IN ('door-opened', 'door-closed', 'fault', 'fault-cleared')),
  -- Code of a fault, as the machine has it; empty for doors.
  fault       text NOT NULL CHECK (fault ~ '^[A-Za-z0-9._-]{0,40}$'),
  token_id    uuid NOT NULL,
  received_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, machine_id, happened_at, kind, fault),
  CONSTRAINT machine_event_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  CONSTRAINT machine_event_token FOREIGN KEY (tenant_id, token_id) REFERENCES machine_token (tenant_id, id)
);

CALL app.make_tenant_table('machine_token', append_only => false, audited => true, not_recorded => '{secret_hash}');
CALL app.make_tenant_table('machine_report_reading', append_only => true, audited => false);
CALL app.make_tenant_table('machine_event', append_only => true, audited => false);
REVOKE UPDATE, DELETE ON machine_token FROM latchledger_app;
GRANT UPDATE (revoked_at, revoked_by) ON machine_token TO latchledger_app;
