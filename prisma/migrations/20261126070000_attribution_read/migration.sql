-- Who looked at how shortages and custody of keys fell together, and at which days: figures about people are not looked at
-- in secret. The figures themselves are not kept: they change with each correction of a count or of custody.
CREATE TABLE variance_attribution_read (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  first_on        date NOT NULL,
  last_on         date NOT NULL,
  people_compared integer NOT NULL CHECK (people_compared >= 0),
  read_at         timestamptz NOT NULL,
  read_by         text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT variance_attribution_read_days CHECK (last_on >= first_on)
);

CALL app.make_tenant_table('variance_attribution_read', append_only => true, audited => true);
