-- A collection that was entered by mistake is discarded as a whole before it is accepted. It stays with all that was entered
-- for it, and none of that counts any more; the visit may be entered anew, at the same moment and with the same seals.
ALTER TABLE collection
  ADD COLUMN discarded_at      timestamptz,
  ADD COLUMN discarded_by      text,
  ADD COLUMN discarded_because text,
  DROP CONSTRAINT collection_state_check,
  ADD CONSTRAINT collection_state_check CHECK (state IN ('open', 'counted', 'accepted', 'discarded')),
  ADD CONSTRAINT collection_discarded CHECK (CASE WHEN state = 'discarded'
    THEN discarded_at IS NOT NULL AND discarded_by IS NOT NULL AND discarded_because IS NOT NULL
    ELSE num_nonnulls(discarded_at, discarded_by, discarded_because) = 0 END),
  DROP CONSTRAINT collection_visit_once;
CREATE UNIQUE INDEX collection_visit_once ON collection (tenant_id, site_id, happened_at) WHERE state <> 'discarded';
CALL app.make_texts_erasable('collection', '{accounting_reason,discarded_because}');

CREATE OR REPLACE FUNCTION app.guard_accepted_collection() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  RAISE EXCEPTION 'collection % is % and cannot change', OLD.id, OLD.state
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_is_accepted';
END $$;
DROP TRIGGER collection_is_accepted ON collection;
CREATE TRIGGER collection_is_accepted BEFORE UPDATE OR DELETE ON collection
  FOR EACH ROW WHEN (OLD.state IN ('accepted', 'discarded') AND NOT app.is_erasing()) EXECUTE FUNCTION app.guard_accepted_collection();

-- A reading is told to be withdrawn by a row of its own, as one that was read wrong is.
CREATE FUNCTION app.guard_discarded_collection() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_read boolean;
BEGIN
  EXECUTE 'SELECT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.collection_id = $2 AND r.value IS NOT NULL
                             AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id))'
    INTO is_read USING NEW.tenant_id, NEW.id;
  IF is_read THEN
    RAISE EXCEPTION 'the readings of collection % still count', NEW.id
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_discarded_whole';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER collection_discarded_whole BEFORE UPDATE ON collection
  FOR EACH ROW WHEN (NEW.state = 'discarded' AND OLD.state <> 'discarded') EXECUTE FUNCTION app.guard_discarded_collection();

-- One that is discarded takes nothing any more, corrections neither.
CREATE OR REPLACE FUNCTION app.guard_collection_entries() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_closed boolean;
BEGIN
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN collection c ON c.tenant_id = written.tenant_id AND c.id = written.collection_id
                    WHERE c.state = 'discarded' OR (c.state = 'accepted' AND written.replaces_id IS NULL)) $query$ INTO is_closed;
  IF is_closed THEN
    RAISE EXCEPTION 'the collection is accepted or discarded and takes no more entries'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_is_accepted';
  END IF;
  RETURN NULL;
END $$;
CREATE OR REPLACE FUNCTION app.guard_collection_counts() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_closed boolean;
  is_misplaced boolean;
BEGIN
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN collection c ON c.tenant_id = written.tenant_id AND c.id = written.collection_id
                    WHERE c.state = 'discarded' OR (c.state = 'accepted' AND written.replaces_id IS NULL)) $query$ INTO is_closed;
  IF is_closed THEN
    RAISE EXCEPTION 'the collection is accepted or discarded and takes no more counts'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_is_accepted';
  END IF;
  -- Asked first, so that files of many thousand counts, which correct none, need not be held against the table.
  IF NOT EXISTS (SELECT FROM written WHERE written.replaces_id IS NOT NULL) THEN
    RETURN NULL;
  END IF;
  -- Else a correction of one box would be a way to add a count to an accepted collection, or to take one out of another.
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN box_count replaced ON replaced.tenant_id = written.tenant_id AND replaced.id = written.replaces_id
                    WHERE (replaced.collection_id, replaced.placement_id, replaced.part) IS DISTINCT FROM
                          (written.collection_id, written.placement_id, written.part)) $query$ INTO is_misplaced;
  IF is_misplaced THEN
    RAISE EXCEPTION 'a correction takes the place of a count of the same box'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'box_count_corrects_its_own';
  END IF;
  RETURN NULL;
END $$;

-- The visit may be entered anew at the same moment, with what its meters showed then. That no meter is read twice at one
-- moment is asked under the lock of its machine; two collections of one site never share a moment.
DROP INDEX meter_reading_once;
CREATE UNIQUE INDEX meter_reading_once ON meter_reading (tenant_id, meter_id, happened_at, phase, collection_id) NULLS NOT DISTINCT WHERE replaces_id IS NULL;

-- A seal serves once; of a collection that was discarded the seal is still on the bag, which is entered anew. The lock lets two
-- who enter one seal at once wait for each other, and the second one then sees the first.
ALTER TABLE collection_bag DROP CONSTRAINT collection_bag_seal_once;
CREATE INDEX collection_bag_by_seal ON collection_bag (tenant_id, seal);
CREATE FUNCTION app.guard_bag_seal() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(NEW.seal, hashtextextended(NEW.tenant_id::text, 0)));
  IF EXISTS (SELECT FROM collection_bag b JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id
              WHERE b.tenant_id = NEW.tenant_id AND b.seal = NEW.seal AND b.id <> NEW.id AND c.state <> 'discarded') THEN
    RAISE EXCEPTION 'seal % closed another bag', NEW.seal USING ERRCODE = 'unique_violation', CONSTRAINT = 'collection_bag_seal_once';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER collection_bag_seal_once AFTER INSERT ON collection_bag FOR EACH ROW EXECUTE FUNCTION app.guard_bag_seal();
