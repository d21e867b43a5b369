-- A key may be reported after another of its cut and have gone missing before it. The case then begins with that loss: a lock
-- that was still fitted at that time was open to whoever has the key, and each deadline counts from it.
CREATE OR REPLACE FUNCTION app.guard_key_case() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  as_it_was key_case;
  what      text;
BEGIN
  IF TG_OP = 'DELETE' OR OLD.state <> 'open' THEN
    RAISE EXCEPTION 'case % is % and stays so', OLD.id, OLD.state USING ERRCODE = 'restrict_violation', CONSTRAINT = 'key_case_stays';
  END IF;
  as_it_was := NEW;
  as_it_was.new_key_code_id := OLD.new_key_code_id;
  as_it_was.happened_at := least(OLD.happened_at, NEW.happened_at);
  as_it_was.surely_held_until := least(OLD.surely_held_until, NEW.surely_held_until);
  as_it_was.state := OLD.state;
  as_it_was.closed_at := OLD.closed_at;
  as_it_was.closed_by := OLD.closed_by;
  as_it_was.closing_reason := OLD.closing_reason;
  IF (as_it_was.tenant_id, as_it_was.id, as_it_was.key_code_id, as_it_was.cause, as_it_was.happened_at, as_it_was.opened_at, as_it_was.opened_by, as_it_was.reason)
     IS DISTINCT FROM (OLD.tenant_id, OLD.id, OLD.key_code_id, OLD.cause, as_it_was.happened_at, OLD.opened_at, OLD.opened_by, OLD.reason)
     OR NEW.happened_at > OLD.happened_at OR NEW.surely_held_until > OLD.surely_held_until THEN
    RAISE EXCEPTION 'case % was opened so', OLD.id USING ERRCODE = 'restrict_violation', CONSTRAINT = 'key_case_stays';
  END IF;
  IF NEW.state = 'open' THEN
    RETURN NEW;
  END IF;
  PERFORM FROM key_code k WHERE k.tenant_id = NEW.tenant_id AND k.id = NEW.key_code_id FOR UPDATE;
  IF NEW.state = 'closed' THEN
    SELECT string_agg(m.tag || ' (' || l.place || ')', ', ' ORDER BY m.tag, l.place) INTO what
      FROM machine_lock l JOIN machine m ON m.tenant_id = NEW.tenant_id AND m.id = l.machine_id
     WHERE l.tenant_id = NEW.tenant_id AND l.key_code_id = NEW.key_code_id AND (l.removed_at IS NULL OR l.removed_at > NEW.closed_at);
    IF what IS NOT NULL THEN
      RAISE EXCEPTION 'locks still take the cut: %', what USING ERRCODE = 'check_violation', CONSTRAINT = 'key_case_no_lock_takes_the_cut';
    END IF;
  ELSE
    SELECT string_agg(DISTINCT copy.number, ', ') INTO what
      FROM key_case_copy c
      JOIN key_copy copy ON copy.tenant_id = NEW.tenant_id AND copy.id = c.key_copy_id
      JOIN custody held ON held.tenant_id = NEW.tenant_id AND held.key_copy_id = c.key_copy_id AND held.held_to IS NULL AND held.known_to IS NULL
     WHERE c.tenant_id = NEW.tenant_id AND c.key_case_id = NEW.id AND held.state = 'missing';
    IF what IS NOT NULL THEN
      RAISE EXCEPTION 'keys are still missing: %', what USING ERRCODE = 'check_violation', CONSTRAINT = 'key_case_ended_with_every_key_found';
    END IF;
  END IF;
  RETURN NEW;
END $$;
