-- The number under which the tax authority knows a payee. Sealed under the operator's data key; people see its last characters.
-- The last one recorded holds.
CREATE TABLE taxpayer_number (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  party_id      uuid NOT NULL,
  sealed_number bytea NOT NULL,
  data_key_id   uuid NOT NULL,
  ending        text NOT NULL CHECK (ending ~ '^[A-Za-z0-9]{1,4}$'),
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT taxpayer_number_party FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id),
  CONSTRAINT taxpayer_number_data_key FOREIGN KEY (tenant_id, data_key_id) REFERENCES operator_data_key (tenant_id, id)
);
CREATE INDEX taxpayer_number_by_party ON taxpayer_number (tenant_id, party_id, recorded_at, id);

CALL app.make_tenant_table('taxpayer_number', append_only => true, audited => true, not_recorded => '{sealed_number}');
REVOKE SELECT ON taxpayer_number FROM latchledger_reader;
GRANT SELECT (tenant_id, id, party_id, data_key_id, ending, recorded_at, recorded_by) ON taxpayer_number TO latchledger_reader;
