-- What follows when keys of a cut are lost, or the cut is known to others: a case that stays open until no lock takes it.

CREATE TABLE key_case (
  tenant_id         uuid NOT NULL REFERENCES operator (tenant_id),
  id                uuid NOT NULL,
  key_code_id       uuid NOT NULL,
  class             text NOT NULL,
  cause             text NOT NULL CHECK (cause IN ('lost', 'compromised')),
  -- happened_at: when it was missed or became known. From surely_held_until on somebody else may have had the key.
  happened_at       timestamptz NOT NULL,
  surely_held_until timestamptz NOT NULL,
  opened_at         timestamptz NOT NULL,
  opened_by         text NOT NULL,
  reason            text NOT NULL CHECK (reason <> ''),
  new_key_code_id   uuid,
  state             text NOT NULL DEFAULT 'open' CHECK (state IN ('open', 'closed', 'ended')),
  closed_at         timestamptz,
  closed_by         text,
  closing_reason    text,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, id, key_code_id),
  CONSTRAINT key_case_code FOREIGN KEY (tenant_id, key_code_id, class) REFERENCES key_code (tenant_id, id, class),
  CONSTRAINT key_case_new_code FOREIGN KEY (tenant_id, new_key_code_id, class) REFERENCES key_code (tenant_id, id, class),
  CONSTRAINT key_case_new_code_is_another CHECK (new_key_code_id <> key_code_id),
  CONSTRAINT key_case_times CHECK (surely_held_until <= happened_at AND happened_at <= opened_at AND closed_at >= opened_at),
  CONSTRAINT key_case_closed_by_somebody CHECK (num_nonnulls(closed_at, closed_by, closing_reason) = CASE state WHEN 'open' THEN 0 ELSE 3 END)
);
-- A second copy that is lost meanwhile belongs to the case that is open.
CREATE UNIQUE INDEX key_case_one_open ON key_case (tenant_id, key_code_id) WHERE state = 'open';
CREATE INDEX key_case_by_time ON key_case (tenant_id, opened_at, id);
CREATE INDEX key_case_by_code ON key_case (tenant_id, key_code_id);

-- Copies that were reported missing, each by its event.
CREATE TABLE key_case_copy (
  tenant_id         uuid NOT NULL REFERENCES operator (tenant_id),
  key_case_id       uuid NOT NULL,
  key_copy_id       uuid NOT NULL,
  key_code_id       uuid NOT NULL,
  event_id          uuid NOT NULL,
  surely_held_until timestamptz NOT NULL,
  recorded_at       timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, key_case_id, event_id, key_copy_id),
  CONSTRAINT key_case_copy_of_its_case FOREIGN KEY (tenant_id, key_case_id, key_code_id) REFERENCES key_case (tenant_id, id, key_code_id),
  CONSTRAINT key_case_copy_of_its_code FOREIGN KEY (tenant_id, key_copy_id, key_code_id) REFERENCES key_copy (tenant_id, id, key_code_id),
  CONSTRAINT key_case_copy_event FOREIGN KEY (tenant_id, event_id, key_copy_id) REFERENCES custody_event_copy (tenant_id, event_id, key_copy_id)
);

-- Steps that somebody says were done. That a lock was changed is to be seen in machine_lock, too, where a copy is in custody.
CREATE TABLE key_case_step (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  key_case_id     uuid NOT NULL,
  kind            text NOT NULL CHECK (kind IN ('new-code', 'box-emptied', 'second-lock', 'lock-changed', 'lock-removed', 'copy-given', 'copy-called-in')),
  machine_lock_id uuid,
  key_copy_id     uuid,
  happened_at     timestamptz NOT NULL,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  note            text NOT NULL CHECK (note <> ''),
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT key_case_step_case FOREIGN KEY (tenant_id, key_case_id) REFERENCES key_case (tenant_id, id),
  CONSTRAINT key_case_step_lock FOREIGN KEY (tenant_id, machine_lock_id) REFERENCES machine_lock (tenant_id, id),
  CONSTRAINT key_case_step_copy FOREIGN KEY (tenant_id, key_copy_id) REFERENCES key_copy (tenant_id, id),
  CONSTRAINT key_case_step_known_after CHECK (happened_at <= recorded_at),
  CONSTRAINT key_case_step_is_about CHECK (CASE
    WHEN kind = 'new-code' THEN num_nonnulls(machine_lock_id, key_copy_id) = 0
    WHEN kind IN ('copy-given', 'copy-called-in') THEN machine_lock_id IS NULL AND key_copy_id IS NOT NULL
    ELSE machine_lock_id IS NOT NULL AND key_copy_id IS NULL END)
);
CREATE INDEX key_case_step_by_case ON key_case_step (tenant_id, key_case_id, recorded_at);

-- K.A.R. 112-104-34(b): when a critical key is lost, all locks that it fits are changed. A case is closed when they are, and
-- stays as it was closed. Both sides hold the row of the cut, so that no lock is fitted while its case is being closed.
CREATE FUNCTION app.guard_key_case() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  as_it_was key_case;
  what      text;
BEGIN
  IF TG_OP = 'DELETE' OR OLD.state <> 'open' THEN
    RAISE EXCEPTION 'case % is % and stays so', OLD.id, OLD.state USING ERRCODE = 'restrict_violation', CONSTRAINT = 'key_case_stays';
  END IF;
  as_it_was := NEW;
  as_it_was.new_key_code_id := OLD.new_key_code_id;
  as_it_was.surely_held_until := least(OLD.surely_held_until, NEW.surely_held_until);
  as_it_was.state := OLD.state;
  as_it_was.closed_at := OLD.closed_at;
  as_it_was.closed_by := OLD.closed_by;
  as_it_was.closing_reason := OLD.closing_reason;
  IF (as_it_was.tenant_id, as_it_was.id, as_it_was.key_code_id, as_it_was.cause, as_it_was.happened_at, as_it_was.opened_at, as_it_was.opened_by, as_it_was.reason)
     IS DISTINCT FROM (OLD.tenant_id, OLD.id, OLD.key_code_id, OLD.cause, OLD.happened_at, OLD.opened_at, OLD.opened_by, OLD.reason)
     OR NEW.surely_held_until > OLD.surely_held_until THEN
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
CREATE TRIGGER key_case_guard BEFORE UPDATE OR DELETE ON key_case
  FOR EACH ROW EXECUTE FUNCTION app.guard_key_case();

-- The other side: a cut whose case was closed is on no machine any more, unless a new case looks after it.
CREATE FUNCTION app.refuse_lost_cut() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM FROM key_code k WHERE k.tenant_id = NEW.tenant_id AND k.id = NEW.key_code_id FOR KEY SHARE;
  IF EXISTS (SELECT FROM key_case c WHERE c.tenant_id = NEW.tenant_id AND c.key_code_id = NEW.key_code_id AND c.state = 'closed'
                AND (NEW.removed_at IS NULL OR NEW.removed_at > c.closed_at))
     AND NOT EXISTS (SELECT FROM key_case c WHERE c.tenant_id = NEW.tenant_id AND c.key_code_id = NEW.key_code_id AND c.state = 'open') THEN
    RAISE EXCEPTION 'keys of this cut were lost: no lock takes it any more' USING ERRCODE = 'check_violation', CONSTRAINT = 'machine_lock_not_of_a_lost_cut';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER machine_lock_not_of_a_lost_cut BEFORE INSERT OR UPDATE OF key_code_id, removed_at ON machine_lock
  FOR EACH ROW EXECUTE FUNCTION app.refuse_lost_cut();

CALL app.make_tenant_table('key_case', append_only => false, audited => true);
CALL app.make_tenant_table('key_case_copy', append_only => true, audited => false);
CALL app.make_tenant_table('key_case_step', append_only => true, audited => false);
REVOKE DELETE ON key_case FROM latchledger_app;
