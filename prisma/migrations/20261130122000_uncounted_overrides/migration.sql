-- Machines that left a site uncounted, in spite of which the owner let a settlement be reviewed; why is in the settlement's history.
CREATE TABLE uncounted_removal_override (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  settlement_id uuid NOT NULL,
  placement_id  uuid NOT NULL,
  event_id      uuid NOT NULL,
  PRIMARY KEY (tenant_id, settlement_id, placement_id),
  CONSTRAINT uncounted_removal_override_settlement FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id),
  CONSTRAINT uncounted_removal_override_placement FOREIGN KEY (tenant_id, placement_id) REFERENCES placement (tenant_id, id),
  CONSTRAINT uncounted_removal_override_event FOREIGN KEY (tenant_id, event_id) REFERENCES settlement_event (tenant_id, id)
);
-- Asked by the placement, for whichever settlement let it pass.
CREATE INDEX uncounted_removal_override_by_placement ON uncounted_removal_override (tenant_id, placement_id);

CALL app.make_tenant_table('uncounted_removal_override', append_only => true, audited => false);
