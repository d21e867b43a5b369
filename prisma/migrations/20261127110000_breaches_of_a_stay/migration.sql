-- By when a breach has to be put right is a fact of the event that first said so, which the evidence log holds. Beside where the copy
-- was it answered nothing any more since exceptions count: they begin and end while a key stays.
CREATE OR REPLACE FUNCTION app.take_terms_of_event() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  SELECT e.due_back_at INTO NEW.due_back_at
    FROM custody_event e WHERE NEW.state = 'held' AND e.tenant_id = NEW.tenant_id AND e.id = NEW.event_id;
  NEW.cash_box_at_site := num_nonnulls(NEW.person_id, NEW.place_id) > 0 AND EXISTS (SELECT FROM key_copy k WHERE k.tenant_id = NEW.tenant_id AND k.id = NEW.key_copy_id AND k.class = 'cash-box')
     AND (NEW.place_id IS NOT NULL OR EXISTS (SELECT FROM person p WHERE p.tenant_id = NEW.tenant_id AND p.id = NEW.person_id AND p.site_id IS NOT NULL));
  RETURN NEW;
END $$;
ALTER TABLE custody DROP COLUMN breach_due_at;

-- A breach is to be put right a day after it was recorded, and what is recorded did not happen later: those of one stay are found from
-- its beginning on, the first one first, however many there were in the years before.
CREATE INDEX custody_event_copy_breach_of_copy ON custody_event_copy (tenant_id, key_copy_id, breach_due_at) WHERE breach_due_at IS NOT NULL;
