-- Why a meter was not read where it should have been. What is said later, or otherwise, is a new row: the latest holds, and
-- the earlier ones stay legible.
CREATE TABLE meter_not_read (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  meter_id      uuid NOT NULL,
  machine_id    uuid NOT NULL,
  happened_at   timestamptz NOT NULL,
  occasion      text NOT NULL CHECK (occasion IN ('collection', 'placement', 'removal', 'in-service', 'out-of-service')),
  collection_id uuid,
  why           text NOT NULL CHECK (why IN ('display-dark', 'machine-off', 'meter-broken', 'not-reached', 'other')),
  note          text NOT NULL DEFAULT '',
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT meter_not_read_meter FOREIGN KEY (tenant_id, meter_id) REFERENCES meter (tenant_id, id),
  CONSTRAINT meter_not_read_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  CONSTRAINT meter_not_read_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT meter_not_read_of_collection CHECK ((occasion = 'collection') = (collection_id IS NOT NULL)),
  CONSTRAINT meter_not_read_says_what CHECK (why <> 'other' OR note <> '')
);
CREATE INDEX meter_not_read_by_meter ON meter_not_read (tenant_id, meter_id, happened_at);
CREATE INDEX meter_not_read_by_collection ON meter_not_read (tenant_id, collection_id) WHERE collection_id IS NOT NULL;
CALL app.make_tenant_table('meter_not_read', append_only => true, audited => true);
CALL app.make_texts_erasable('meter_not_read', '{note}');
