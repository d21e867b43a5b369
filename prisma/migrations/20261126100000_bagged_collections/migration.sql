-- Boxes that were bagged before anybody counted them: the counts are what the bags held, and what was taken out of the boxes
-- before comes on top, by its receipts.
ALTER TABLE collection ADD COLUMN bagged boolean NOT NULL DEFAULT false;
COMMENT ON COLUMN collection.bagged IS 'The counts are what was found in the bags. What was taken out of each box before bagging stands beside them as its part 0.';
-- Counts that were entered already say what came out of the boxes, as they were asked for. Only what nobody counted yet is counted by the bag.
CALL app.for_each_tenant($$
  UPDATE collection SET bagged = true
   WHERE tenant_id = app.current_tenant() AND state = 'open'
     AND EXISTS (SELECT FROM collection_bag b WHERE b.tenant_id = collection.tenant_id AND b.collection_id = collection.id)$$);

ALTER TABLE box_count
  DROP CONSTRAINT box_count_part_check,
  ADD CONSTRAINT box_count_part_check CHECK (part BETWEEN 0 AND 99),
  ADD CONSTRAINT box_count_taken_out_is_cash CHECK (part > 0 OR (tokens = '{}' AND house_coin_minor = 0 AND bad_coin_minor = 0 AND coalesce(metered_minor, 0) = 0));

-- Only a collection that was bagged has a part that nobody counted.
CREATE FUNCTION app.guard_taken_out() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_misplaced boolean;
BEGIN
  IF NOT EXISTS (SELECT FROM written WHERE written.part = 0) THEN
    RETURN NULL;
  END IF;
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN collection c ON c.tenant_id = written.tenant_id AND c.id = written.collection_id
                    WHERE written.part = 0 AND NOT c.bagged) $query$ INTO is_misplaced;
  IF is_misplaced THEN
    RAISE EXCEPTION 'the counts of a collection that was not bagged include what was taken out of the boxes'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'box_count_taken_out_of_bagged';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER box_count_taken_out_guard AFTER INSERT ON box_count
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.guard_taken_out();

-- The latest emptying of a box is asked for each site and machine.
CREATE INDEX collection_bagged_open ON collection (tenant_id, site_id, happened_at) WHERE bagged AND state = 'open';
