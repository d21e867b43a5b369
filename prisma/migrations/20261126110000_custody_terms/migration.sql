-- Until when a copy was lent, and by when a breach has to be put right, beside where the copy was because of it. What is overdue
-- and what is a breach is then found among what is open; every event that ever lent a key was read otherwise.
ALTER TABLE custody ADD COLUMN due_back_at timestamptz;
ALTER TABLE custody ADD COLUMN breach_due_at timestamptz;

-- Where it was and when stays as it is, so no rule about that is asked again.
ALTER TABLE custody DISABLE TRIGGER custody_stays_as_known, DISABLE TRIGGER custody_without_gaps;
CALL app.for_each_tenant($$
  UPDATE custody c SET due_back_at = e.due_back_at, breach_due_at = ec.breach_due_at
    FROM custody_event_copy ec JOIN custody_event e ON e.tenant_id = ec.tenant_id AND e.id = ec.event_id
   WHERE c.tenant_id = app.current_tenant() AND c.state = 'held'
     AND ec.tenant_id = c.tenant_id AND ec.event_id = c.event_id AND ec.key_copy_id = c.key_copy_id
     AND num_nonnulls(e.due_back_at, ec.breach_due_at) > 0$$);
ALTER TABLE custody ENABLE TRIGGER custody_stays_as_known, ENABLE TRIGGER custody_without_gaps;

CREATE FUNCTION app.take_terms_of_event() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  SELECT e.due_back_at, ec.breach_due_at INTO NEW.due_back_at, NEW.breach_due_at
    FROM custody_event_copy ec JOIN custody_event e ON e.tenant_id = ec.tenant_id AND e.id = ec.event_id
   WHERE NEW.state = 'held' AND ec.tenant_id = NEW.tenant_id AND ec.event_id = NEW.event_id AND ec.key_copy_id = NEW.key_copy_id;
  RETURN NEW;
END $$;
CREATE TRIGGER custody_takes_terms_of_event BEFORE INSERT ON custody
  FOR EACH ROW EXECUTE FUNCTION app.take_terms_of_event();

CREATE INDEX custody_lent_now ON custody (tenant_id, due_back_at) WHERE due_back_at IS NOT NULL AND held_to IS NULL AND known_to IS NULL;
CREATE INDEX custody_breach_now ON custody (tenant_id, key_copy_id) WHERE breach_due_at IS NOT NULL AND held_to IS NULL AND known_to IS NULL;

-- The same at a past moment, as known at another. Both ends of both times, so that what was over by then, or not known, is left out
-- by the index; CASE and plain instants, as an index serves under row security.
CREATE INDEX custody_missing_over_time ON custody USING gist
  (tenant_id, held_from, (CASE WHEN held_to IS NULL THEN 'infinity'::timestamptz ELSE held_to END),
   known_from, (CASE WHEN known_to IS NULL THEN 'infinity'::timestamptz ELSE known_to END))
  WHERE state = 'missing';
CREATE INDEX custody_lent_over_time ON custody USING gist
  (tenant_id, due_back_at, (CASE WHEN held_to IS NULL THEN 'infinity'::timestamptz ELSE held_to END),
   known_from, (CASE WHEN known_to IS NULL THEN 'infinity'::timestamptz ELSE known_to END))
  WHERE due_back_at IS NOT NULL;
CREATE INDEX custody_breach_over_time ON custody USING gist
  (tenant_id, held_from, (CASE WHEN held_to IS NULL THEN 'infinity'::timestamptz ELSE held_to END),
   known_from, (CASE WHEN known_to IS NULL THEN 'infinity'::timestamptz ELSE known_to END))
  WHERE breach_due_at IS NOT NULL;
DROP INDEX custody_event_lent_until;
DROP INDEX custody_event_copy_breach;

-- What was once believed of a holder, and is not any more: what they held at a moment as known at another is told from these rows and
-- from custody_of_holder_over_time. Without it every row that they ever had was read.
CREATE INDEX custody_of_holder_once_known ON custody USING gist
  (tenant_id, (CASE WHEN person_id IS NOT NULL THEN person_id WHEN store_id IS NOT NULL THEN store_id ELSE place_id END),
   held_from, (CASE WHEN held_to IS NULL THEN 'infinity'::timestamptz ELSE held_to END), known_from, known_to)
  WHERE known_to IS NOT NULL;
