-- Whether a stay is one of a cash-box key with somebody or at a place of a site. Whether that is a breach changes while the key
-- stays: an exception of the owner ends, or is granted later, and a key that is seen again at the same person begins no new stay. So it
-- is asked of what is there, and no longer only of what was a breach on the day it came.
ALTER TABLE custody ADD COLUMN cash_box_at_site boolean NOT NULL DEFAULT false;

-- Where it was and when stays as it is, so no rule about that is asked again.
ALTER TABLE custody DISABLE TRIGGER custody_stays_as_known, DISABLE TRIGGER custody_without_gaps;
CALL app.for_each_tenant($$
  UPDATE custody c SET cash_box_at_site = true
   WHERE c.tenant_id = app.current_tenant() AND num_nonnulls(c.person_id, c.place_id) > 0
     AND EXISTS (SELECT FROM key_copy k WHERE k.tenant_id = c.tenant_id AND k.id = c.key_copy_id AND k.class = 'cash-box')
     AND (c.place_id IS NOT NULL OR EXISTS (SELECT FROM person p WHERE p.tenant_id = c.tenant_id AND p.id = c.person_id AND p.site_id IS NOT NULL))$$);
ALTER TABLE custody ENABLE TRIGGER custody_stays_as_known, ENABLE TRIGGER custody_without_gaps;

CREATE OR REPLACE FUNCTION app.take_terms_of_event() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  SELECT e.due_back_at, ec.breach_due_at INTO NEW.due_back_at, NEW.breach_due_at
    FROM custody_event_copy ec JOIN custody_event e ON e.tenant_id = ec.tenant_id AND e.id = ec.event_id
   WHERE NEW.state = 'held' AND ec.tenant_id = NEW.tenant_id AND ec.event_id = NEW.event_id AND ec.key_copy_id = NEW.key_copy_id;
  NEW.cash_box_at_site := num_nonnulls(NEW.person_id, NEW.place_id) > 0 AND EXISTS (SELECT FROM key_copy k WHERE k.tenant_id = NEW.tenant_id AND k.id = NEW.key_copy_id AND k.class = 'cash-box')
     AND (NEW.place_id IS NOT NULL OR EXISTS (SELECT FROM person p WHERE p.tenant_id = NEW.tenant_id AND p.id = NEW.person_id AND p.site_id IS NOT NULL));
  RETURN NEW;
END $$;

DROP INDEX custody_breach_now;
DROP INDEX custody_breach_over_time;
CREATE INDEX custody_breach_now ON custody (tenant_id, key_copy_id) WHERE cash_box_at_site AND held_to IS NULL AND known_to IS NULL;
CREATE INDEX custody_breach_over_time ON custody USING gist
  (tenant_id, held_from, (CASE WHEN held_to IS NULL THEN 'infinity'::timestamptz ELSE held_to END),
   known_from, (CASE WHEN known_to IS NULL THEN 'infinity'::timestamptz ELSE known_to END))
  WHERE cash_box_at_site;
