-- Who gave or received a key by the books, and says that it was not so. Nothing follows by itself: whoever looks after the keys
-- asks both, and corrects what was recorded. Who finds the key after all confirms it.
CREATE TABLE custody_denial (
  tenant_id uuid NOT NULL REFERENCES operator (tenant_id),
  event_id  uuid NOT NULL,
  side      text NOT NULL CHECK (side IN ('giver', 'receiver')),
  person_id uuid NOT NULL,
  denied_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, event_id, side),
  CONSTRAINT custody_denial_event FOREIGN KEY (tenant_id, event_id) REFERENCES custody_event (tenant_id, id),
  CONSTRAINT custody_denial_person FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id)
);
CALL app.make_tenant_table('custody_denial', append_only => true, audited => false);
