-- One box of a visit may be counted at its machine, and another one later in the counting room: where the cash is, each count
-- says of itself. With one mark for the whole visit the cash of both was with who collected, and that of the second was missed.
ALTER TABLE box_count ADD COLUMN at_machine boolean NOT NULL DEFAULT false;
COMMENT ON COLUMN box_count.at_machine IS 'It settles, and was counted at the machine. Where a collector is named, the cash is with them until it is handed in; else it lies in the counting room.';

-- What is accepted stays where it was booked. Of visits that wait only what came with the visit was counted at the machines.
ALTER TABLE box_count DISABLE TRIGGER refuse_change;
CALL app.for_each_tenant($$
  UPDATE box_count b SET at_machine = true FROM collection c
   WHERE b.tenant_id = app.current_tenant() AND c.tenant_id = b.tenant_id AND c.id = b.collection_id AND c.counted_at_machine
     AND (c.state = 'accepted' OR EXISTS (
       SELECT FROM box_count first WHERE first.tenant_id = b.tenant_id AND first.collection_id = b.collection_id AND first.placement_id = b.placement_id AND first.part = b.part
          AND first.replaces_id IS NULL AND first.recorded_at = c.recorded_at))$$);
ALTER TABLE box_count ENABLE ALWAYS TRIGGER refuse_change;

ALTER TABLE collection DROP COLUMN counted_at_machine;
