-- Collections were accepted once in which a box was opened and nobody said what was in it. Its count may still be entered,
-- with a reason: what its meters counted before would else be compared with no cash, now or later.
ALTER TABLE box_count
  ADD COLUMN late boolean NOT NULL DEFAULT false,
  ADD CONSTRAINT box_count_late_with_reason CHECK (NOT late OR (replaces_id IS NULL AND part < 2 AND reason <> ''));
COMMENT ON COLUMN box_count.late IS 'Entered after its collection was accepted, of a box that was opened there and not counted.';

CREATE OR REPLACE FUNCTION app.guard_collection_counts() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_accepted boolean;
  is_misplaced boolean;
BEGIN
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN collection c ON c.tenant_id = written.tenant_id AND c.id = written.collection_id
                    WHERE (c.state = 'accepted') <> written.late AND written.replaces_id IS NULL) $query$ INTO is_accepted;
  IF is_accepted THEN
    RAISE EXCEPTION 'the collection is accepted and takes no more counts, only corrections'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_is_accepted';
  END IF;
  -- Asked first, so that files of many thousand counts, which correct none, need not be held against the table.
  IF NOT EXISTS (SELECT FROM written WHERE written.late OR written.replaces_id IS NOT NULL) THEN
    RETURN NULL;
  END IF;
  -- A late count is of a box that was opened there, and the only one of it beside what was taken out of it.
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written WHERE written.late AND (
      EXISTS (SELECT FROM box_count other WHERE other.tenant_id = written.tenant_id AND other.collection_id = written.collection_id AND other.machine_id = written.machine_id
                                            AND NOT other.late AND other.replaces_id IS NULL)
      OR NOT (EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = written.tenant_id AND r.collection_id = written.collection_id AND r.machine_id = written.machine_id)
           OR EXISTS (SELECT FROM field_count f WHERE f.tenant_id = written.tenant_id AND f.collection_id = written.collection_id AND f.machine_id = written.machine_id)
           OR EXISTS (SELECT FROM collection_bag k WHERE k.tenant_id = written.tenant_id AND k.collection_id = written.collection_id AND k.machine_id = written.machine_id)))) $query$ INTO is_misplaced;
  IF is_misplaced THEN
    RAISE EXCEPTION 'a late count is of a box that was opened there and not counted'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'box_count_late_of_opened';
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
