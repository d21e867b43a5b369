-- Who was shown what a collection should hold before it was accepted. What they count of it is not blind.
CREATE TABLE count_look (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  collection_id uuid NOT NULL,
  looked_by     text NOT NULL,
  looked_at     timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, collection_id, looked_by),
  CONSTRAINT count_look_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id)
);
CALL app.make_tenant_table('count_look', append_only => true, audited => false);
