-- Whose key opened the boxes of a collection, or that full boxes were exchanged for empty ones, which takes no key to
-- them. Named anew, the latest counts; where nothing is named, whoever collected had the key.
CREATE TABLE collection_key_holder (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  collection_id   uuid NOT NULL,
  person_id       uuid,
  boxes_exchanged boolean NOT NULL,
  reason          text,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT collection_key_holder_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT collection_key_holder_person FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT collection_key_holder_or_exchanged CHECK (boxes_exchanged = (person_id IS NULL))
);
CREATE INDEX collection_key_holder_by_collection ON collection_key_holder (tenant_id, collection_id, recorded_at);

CALL app.make_tenant_table('collection_key_holder', append_only => true, audited => false);
