-- Who was shown what lies in the boxes of a site before anybody went there again. What they count there next is not blind.
CREATE TABLE site_look (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  site_id    uuid NOT NULL,
  looked_by  text NOT NULL,
  -- The visit before, after which the boxes began to fill; -infinity where there was none.
  emptied_at timestamptz NOT NULL,
  looked_at  timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, site_id, looked_by, emptied_at),
  CONSTRAINT site_look_site FOREIGN KEY (tenant_id, site_id) REFERENCES site (tenant_id, id)
);
CALL app.make_tenant_table('site_look', append_only => true, audited => false);
