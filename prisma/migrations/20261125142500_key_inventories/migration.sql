-- Counts of keys: opened, every copy seen or attested, closed with its result, and then as it is for good.

CREATE TABLE key_inventory (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  id             uuid NOT NULL,
  cause          text NOT NULL CHECK (cause IN ('schedule', 'custodian-change', 'by-hand')),
  -- Only what lies in this store is asked for; null: every copy.
  key_store_id   uuid,
  opened_at      timestamptz NOT NULL,
  opened_by      text NOT NULL,
  reason         text NOT NULL CHECK (reason <> ''),
  closed_at      timestamptz,
  closed_by      text,
  closing_reason text,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT key_inventory_store FOREIGN KEY (tenant_id, key_store_id) REFERENCES key_store (tenant_id, id),
  CONSTRAINT key_inventory_of_a_custodian CHECK (cause <> 'custodian-change' OR key_store_id IS NOT NULL),
  CONSTRAINT key_inventory_schedule_is_whole CHECK (cause <> 'schedule' OR key_store_id IS NULL),
  CONSTRAINT key_inventory_closed_by_somebody CHECK (closed_at >= opened_at AND num_nonnulls(closed_at, closed_by, closing_reason) IN (0, 3))
);
CREATE UNIQUE INDEX key_inventory_one_open ON key_inventory (tenant_id, (coalesce(key_store_id, tenant_id))) WHERE closed_at IS NULL;
CREATE INDEX key_inventory_by_time ON key_inventory (tenant_id, opened_at, id);

-- The copies that a count asks for, as the books had them when it was opened.
CREATE TABLE key_inventory_copy (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  key_inventory_id uuid NOT NULL,
  key_copy_id      uuid NOT NULL,
  PRIMARY KEY (tenant_id, key_inventory_id, key_copy_id),
  CONSTRAINT key_inventory_copy_inventory FOREIGN KEY (tenant_id, key_inventory_id) REFERENCES key_inventory (tenant_id, id),
  CONSTRAINT key_inventory_copy_copy FOREIGN KEY (tenant_id, key_copy_id) REFERENCES key_copy (tenant_id, id)
);

-- Seen by the counter, which is an event of custody, or attested by the holder. `expected`: where the books had it just before.
CREATE TABLE key_inventory_count (
  tenant_id             uuid NOT NULL REFERENCES operator (tenant_id),
  key_inventory_id      uuid NOT NULL,
  key_copy_id           uuid NOT NULL,
  how                   text NOT NULL CHECK (how IN ('seen', 'attested')),
  event_id              uuid,
  holder_kind           text NOT NULL CHECK (holder_kind IN ('person', 'store', 'place')),
  holder_id             uuid NOT NULL,
  expected_state        text NOT NULL CHECK (expected_state IN ('held', 'missing')),
  expected_kind         text CHECK (expected_kind IN ('person', 'store', 'place')),
  expected_id           uuid,
  counted_at            timestamptz NOT NULL,
  counted_by            text NOT NULL,
  without_second_person boolean NOT NULL,
  PRIMARY KEY (tenant_id, key_inventory_id, key_copy_id),
  CONSTRAINT key_inventory_count_asked FOREIGN KEY (tenant_id, key_inventory_id, key_copy_id) REFERENCES key_inventory_copy (tenant_id, key_inventory_id, key_copy_id),
  CONSTRAINT key_inventory_count_event FOREIGN KEY (tenant_id, event_id, key_copy_id) REFERENCES custody_event_copy (tenant_id, event_id, key_copy_id),
  CONSTRAINT key_inventory_count_seen_is_an_event CHECK ((how = 'seen') = (event_id IS NOT NULL)),
  CONSTRAINT key_inventory_count_expected CHECK (num_nonnulls(expected_kind, expected_id) = CASE expected_state WHEN 'held' THEN 2 ELSE 0 END)
);

-- Keys that turned up and are in no books.
CREATE TABLE key_inventory_surplus (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  id               uuid NOT NULL,
  key_inventory_id uuid NOT NULL,
  key_code_id      uuid,
  note             text NOT NULL CHECK (note <> ''),
  recorded_at      timestamptz NOT NULL,
  recorded_by      text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT key_inventory_surplus_inventory FOREIGN KEY (tenant_id, key_inventory_id) REFERENCES key_inventory (tenant_id, id),
  CONSTRAINT key_inventory_surplus_code FOREIGN KEY (tenant_id, key_code_id) REFERENCES key_code (tenant_id, id)
);

-- The result: the equation of each cut.
CREATE TABLE key_inventory_line (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  key_inventory_id uuid NOT NULL,
  key_code_id      uuid NOT NULL,
  made             integer NOT NULL CHECK (made >= 0),
  duplicated       integer NOT NULL CHECK (duplicated >= 0),
  destroyed        integer NOT NULL CHECK (destroyed >= 0),
  in_stores        integer NOT NULL CHECK (in_stores >= 0),
  with_holders     integer NOT NULL CHECK (with_holders >= 0),
  missing          integer NOT NULL CHECK (missing >= 0),
  unaccounted      integer NOT NULL,
  PRIMARY KEY (tenant_id, key_inventory_id, key_code_id),
  CONSTRAINT key_inventory_line_inventory FOREIGN KEY (tenant_id, key_inventory_id) REFERENCES key_inventory (tenant_id, id),
  CONSTRAINT key_inventory_line_code FOREIGN KEY (tenant_id, key_code_id) REFERENCES key_code (tenant_id, id),
  CONSTRAINT key_inventory_line_conserves CHECK (made + duplicated - destroyed = in_stores + with_holders + missing + unaccounted)
);

CREATE TABLE key_inventory_discrepancy (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  id               uuid NOT NULL,
  key_inventory_id uuid NOT NULL,
  kind             text NOT NULL CHECK (kind IN ('not-seen', 'seen-elsewhere', 'was-missing', 'books-disagree', 'surplus')),
  key_code_id      uuid,
  key_copy_id      uuid,
  note             text,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT key_inventory_discrepancy_inventory FOREIGN KEY (tenant_id, key_inventory_id) REFERENCES key_inventory (tenant_id, id),
  CONSTRAINT key_inventory_discrepancy_code FOREIGN KEY (tenant_id, key_code_id) REFERENCES key_code (tenant_id, id),
  CONSTRAINT key_inventory_discrepancy_copy FOREIGN KEY (tenant_id, key_copy_id) REFERENCES key_copy (tenant_id, id),
  CONSTRAINT key_inventory_discrepancy_is_about CHECK (CASE kind
    WHEN 'surplus' THEN note IS NOT NULL AND key_copy_id IS NULL
    WHEN 'books-disagree' THEN key_code_id IS NOT NULL AND key_copy_id IS NULL
    ELSE key_code_id IS NOT NULL AND key_copy_id IS NOT NULL END)
);
CREATE INDEX key_inventory_discrepancy_by_inventory ON key_inventory_discrepancy (tenant_id, key_inventory_id);

-- Nothing is added to a count that is closed. Whoever adds holds its row, so that it is not closed meanwhile.
CREATE FUNCTION app.refuse_closed_inventory() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  closed timestamptz;
BEGIN
  SELECT i.closed_at INTO closed FROM key_inventory i WHERE i.tenant_id = NEW.tenant_id AND i.id = NEW.key_inventory_id FOR SHARE;
  IF closed IS NOT NULL THEN
    RAISE EXCEPTION 'inventory % is closed', NEW.key_inventory_id USING ERRCODE = 'restrict_violation', CONSTRAINT = 'key_inventory_stays';
  END IF;
  RETURN NEW;
END $$;
CREATE FUNCTION app.guard_key_inventory() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF TG_OP = 'UPDATE' AND OLD.closed_at IS NULL AND NEW.closed_at IS NOT NULL
     AND (NEW.tenant_id, NEW.id, NEW.cause, NEW.key_store_id, NEW.opened_at, NEW.opened_by, NEW.reason)
         IS NOT DISTINCT FROM (OLD.tenant_id, OLD.id, OLD.cause, OLD.key_store_id, OLD.opened_at, OLD.opened_by, OLD.reason) THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION 'inventory % stays as it is', OLD.id USING ERRCODE = 'restrict_violation', CONSTRAINT = 'key_inventory_stays';
END $$;
CREATE TRIGGER key_inventory_guard BEFORE UPDATE OR DELETE ON key_inventory FOR EACH ROW EXECUTE FUNCTION app.guard_key_inventory();
CREATE TRIGGER key_inventory_copy_guard BEFORE INSERT ON key_inventory_copy FOR EACH ROW EXECUTE FUNCTION app.refuse_closed_inventory();
CREATE TRIGGER key_inventory_count_guard BEFORE INSERT ON key_inventory_count FOR EACH ROW EXECUTE FUNCTION app.refuse_closed_inventory();
CREATE TRIGGER key_inventory_surplus_guard BEFORE INSERT ON key_inventory_surplus FOR EACH ROW EXECUTE FUNCTION app.refuse_closed_inventory();
CREATE TRIGGER key_inventory_line_guard BEFORE INSERT ON key_inventory_line FOR EACH ROW EXECUTE FUNCTION app.refuse_closed_inventory();
CREATE TRIGGER key_inventory_discrepancy_guard BEFORE INSERT ON key_inventory_discrepancy FOR EACH ROW EXECUTE FUNCTION app.refuse_closed_inventory();

CALL app.make_tenant_table('key_inventory', append_only => false, audited => true);
CALL app.make_tenant_table('key_inventory_copy', append_only => true, audited => false);
CALL app.make_tenant_table('key_inventory_count', append_only => true, audited => false);
CALL app.make_tenant_table('key_inventory_surplus', append_only => true, audited => false);
CALL app.make_tenant_table('key_inventory_line', append_only => true, audited => false);
CALL app.make_tenant_table('key_inventory_discrepancy', append_only => true, audited => false);
REVOKE DELETE ON key_inventory FROM latchledger_app;
