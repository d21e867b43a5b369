-- Keys: which lock takes which cut, which numbered copies of a cut exist, and with whom each of them was at any moment.
--
-- Two clocks. `happened_at`, `held_*`, `fitted_at`, `started_at` say when it was so in the world; `recorded_at`, `known_*`,
-- `*_recorded_at` say when the books learned of it. Both are instants, the second one given by the program.

-- What keeps a person's employer beside their id, for the rule that site staff are given no cash-box key.
ALTER TABLE person ADD CONSTRAINT person_employer_key UNIQUE (tenant_id, id, employed_by);

------------------------------------------------------------------------------------------------------------------------
-- Cuts and locks
------------------------------------------------------------------------------------------------------------------------
-- Locks of one code are keyed alike. outside_copies: factories and dealers may hold copies that nobody can count.
CREATE TABLE key_code (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  id             uuid NOT NULL,
  code           text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  class          text NOT NULL CHECK (class IN ('access', 'cash-box')),
  outside_copies boolean NOT NULL,
  revision       integer NOT NULL DEFAULT 1,
  created_at     timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code),
  UNIQUE (tenant_id, id, class)
);

-- A lock belongs to the machine it is fitted to and moves with it; a safe or a changer is a machine of that kind.
-- `opens` decides the class, and the key to the code carries the class: a cash box that an access key opens cannot be
-- written down. A single lock for everything counts as cash-box class (25 CFR 542.21(g)(5): the cash compartment is
-- keyed differently from any other).
CREATE TABLE machine_lock (
  tenant_id           uuid NOT NULL REFERENCES operator (tenant_id),
  id                  uuid NOT NULL,
  machine_id          uuid NOT NULL,
  place               text NOT NULL CHECK (place ~ '^[a-z][a-z0-9-]{0,29}$'),
  opens               text NOT NULL CHECK (opens IN ('play-area', 'cash-box', 'everything')),
  class               text NOT NULL,
  key_code_id         uuid NOT NULL,
  fitted_at           timestamptz NOT NULL,
  removed_at          timestamptz,
  recorded_at         timestamptz NOT NULL,
  recorded_by         text NOT NULL,
  removal_recorded_at timestamptz,
  removal_recorded_by text,
  removal_reason      text,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  CONSTRAINT machine_lock_code_of_its_class FOREIGN KEY (tenant_id, key_code_id, class) REFERENCES key_code (tenant_id, id, class),
  CONSTRAINT machine_lock_class_by_what_it_opens CHECK (class = CASE opens WHEN 'play-area' THEN 'access' ELSE 'cash-box' END),
  CONSTRAINT machine_lock_times CHECK (removed_at > fitted_at AND fitted_at <= recorded_at),
  CONSTRAINT machine_lock_removed_by_somebody CHECK (num_nonnulls(removed_at, removal_recorded_at, removal_recorded_by, removal_reason) IN (0, 4)),
  CONSTRAINT machine_lock_one_in_a_place EXCLUDE USING gist
    (tenant_id WITH =, machine_id WITH =, place WITH =, tstzrange(fitted_at, removed_at, '[)') WITH &&)
);
CREATE INDEX machine_lock_by_code ON machine_lock (tenant_id, key_code_id, fitted_at);
CREATE INDEX machine_lock_by_machine ON machine_lock (tenant_id, machine_id, fitted_at);

------------------------------------------------------------------------------------------------------------------------
-- Holders beside people: stores with their custodians, named places at sites with their users
------------------------------------------------------------------------------------------------------------------------
CREATE TABLE key_store (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  code       text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  name       text NOT NULL CHECK (name <> ''),
  kind       text NOT NULL CHECK (kind IN ('safe', 'van', 'envelope')),
  created_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code)
);

CREATE TABLE key_custodian (
  tenant_id         uuid NOT NULL REFERENCES operator (tenant_id),
  id                uuid NOT NULL,
  key_store_id      uuid NOT NULL,
  person_id         uuid NOT NULL,
  employed_by       text NOT NULL DEFAULT 'operator',
  started_at        timestamptz NOT NULL,
  ended_at          timestamptz,
  recorded_at       timestamptz NOT NULL,
  end_recorded_at   timestamptz,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, key_store_id) REFERENCES key_store (tenant_id, id),
  CONSTRAINT key_custodian_person FOREIGN KEY (tenant_id, person_id, employed_by) REFERENCES person (tenant_id, id, employed_by),
  -- Unissued copies are kept by the operator's own people.
  CONSTRAINT key_custodian_of_the_operator CHECK (employed_by = 'operator'),
  CONSTRAINT key_custodian_times CHECK (ended_at > started_at),
  CONSTRAINT key_custodian_ends_once CHECK ((ended_at IS NULL) = (end_recorded_at IS NULL)),
  CONSTRAINT key_custodian_one_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, key_store_id WITH =, tstzrange(started_at, ended_at, '[)') WITH &&)
);

-- A hook or key safe at a site: no event per shift, and everybody on its list counts as able to open.
CREATE TABLE key_place (
  tenant_id             uuid NOT NULL REFERENCES operator (tenant_id),
  id                    uuid NOT NULL,
  site_id               uuid NOT NULL,
  code                  text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  name                  text NOT NULL CHECK (name <> ''),
  responsible_person_id uuid NOT NULL,
  revision              integer NOT NULL DEFAULT 1,
  created_at            timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code),
  FOREIGN KEY (tenant_id, site_id) REFERENCES site (tenant_id, id),
  CONSTRAINT key_place_responsible FOREIGN KEY (tenant_id, responsible_person_id) REFERENCES person (tenant_id, id)
);
CREATE INDEX key_place_by_site ON key_place (tenant_id, site_id);

CREATE TABLE key_place_user (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  key_place_id    uuid NOT NULL,
  person_id       uuid NOT NULL,
  started_at      timestamptz NOT NULL,
  ended_at        timestamptz,
  recorded_at     timestamptz NOT NULL,
  end_recorded_at timestamptz,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, key_place_id) REFERENCES key_place (tenant_id, id),
  FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT key_place_user_times CHECK (ended_at > started_at),
  CONSTRAINT key_place_user_ends_once CHECK ((ended_at IS NULL) = (end_recorded_at IS NULL)),
  CONSTRAINT key_place_user_once_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, key_place_id WITH =, person_id WITH =, tstzrange(started_at, ended_at, '[)') WITH &&)
);
CREATE INDEX key_place_user_by_person ON key_place_user (tenant_id, person_id);

-- The owner's leave to give cash-box keys to somebody of a site: the operator's own site, or a person in both roles.
-- Every event that it lets through names it.
CREATE TABLE key_exception (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  site_id    uuid,
  person_id  uuid,
  label      text NOT NULL CHECK (label <> ''),
  reason     text NOT NULL CHECK (reason <> ''),
  started_at timestamptz NOT NULL,
  ended_at   timestamptz,
  review_on  date NOT NULL,
  granted_by text NOT NULL,
  granted_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, site_id) REFERENCES site (tenant_id, id),
  FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT key_exception_for_site_or_person CHECK (num_nonnulls(site_id, person_id) = 1),
  CONSTRAINT key_exception_times CHECK (ended_at > started_at)
);

------------------------------------------------------------------------------------------------------------------------
-- Copies and rings
------------------------------------------------------------------------------------------------------------------------
CREATE TABLE key_copy (
  tenant_id          uuid NOT NULL REFERENCES operator (tenant_id),
  id                 uuid NOT NULL,
  number             text NOT NULL CHECK (number ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  key_code_id        uuid NOT NULL,
  class              text NOT NULL,
  duplicated_from_id uuid,
  created_at         timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, number),
  UNIQUE (tenant_id, id, key_code_id),
  UNIQUE (tenant_id, id, class),
  CONSTRAINT key_copy_of_a_code FOREIGN KEY (tenant_id, key_code_id, class) REFERENCES key_code (tenant_id, id, class),
  -- A duplicate has the cut of what it was cut from.
  CONSTRAINT key_copy_duplicates_its_code FOREIGN KEY (tenant_id, duplicated_from_id, key_code_id) REFERENCES key_copy (tenant_id, id, key_code_id),
  CONSTRAINT key_copy_not_of_itself CHECK (duplicated_from_id <> id)
);
CREATE INDEX key_copy_by_code ON key_copy (tenant_id, key_code_id);

CREATE TABLE key_ring (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  code       text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  created_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code)
);

CREATE TABLE key_ring_copy (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  key_ring_id uuid NOT NULL,
  key_copy_id uuid NOT NULL,
  started_at  timestamptz NOT NULL,
  ended_at    timestamptz,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, key_ring_id) REFERENCES key_ring (tenant_id, id),
  FOREIGN KEY (tenant_id, key_copy_id) REFERENCES key_copy (tenant_id, id),
  CONSTRAINT key_ring_copy_times CHECK (ended_at > started_at),
  CONSTRAINT key_ring_copy_on_one_ring EXCLUDE USING gist
    (tenant_id WITH =, key_copy_id WITH =, tstzrange(started_at, ended_at, '[)') WITH &&)
);
CREATE INDEX key_ring_copy_by_ring ON key_ring_copy (tenant_id, key_ring_id);

------------------------------------------------------------------------------------------------------------------------
-- Custody: what happened, append-only
------------------------------------------------------------------------------------------------------------------------
-- A correction (`corrected`) names an event and says what happened instead: `says` with its own time and receiver, or
-- nothing at all when `says` is null.
CREATE TABLE custody_event (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  kind            text NOT NULL CHECK (kind IN ('made', 'duplicated', 'issued', 'returned', 'handed-over', 'reported-missing', 'found', 'destroyed', 'seen', 'corrected')),
  says            text CHECK (says IN ('made', 'duplicated', 'issued', 'returned', 'handed-over', 'reported-missing', 'found', 'destroyed', 'seen')),
  happened_at     timestamptz NOT NULL,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  reason          text NOT NULL,
  from_person_id  uuid,
  from_store_id   uuid,
  from_place_id   uuid,
  to_person_id    uuid,
  to_store_id     uuid,
  to_place_id     uuid,
  key_ring_id     uuid,
  due_back_at     timestamptz,
  acknowledge_by  timestamptz,
  corrects_id     uuid,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT custody_event_from_person FOREIGN KEY (tenant_id, from_person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT custody_event_from_store FOREIGN KEY (tenant_id, from_store_id) REFERENCES key_store (tenant_id, id),
  CONSTRAINT custody_event_from_place FOREIGN KEY (tenant_id, from_place_id) REFERENCES key_place (tenant_id, id),
  CONSTRAINT custody_event_to_person FOREIGN KEY (tenant_id, to_person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT custody_event_to_store FOREIGN KEY (tenant_id, to_store_id) REFERENCES key_store (tenant_id, id),
  CONSTRAINT custody_event_to_place FOREIGN KEY (tenant_id, to_place_id) REFERENCES key_place (tenant_id, id),
  CONSTRAINT custody_event_ring FOREIGN KEY (tenant_id, key_ring_id) REFERENCES key_ring (tenant_id, id),
  CONSTRAINT custody_event_corrects FOREIGN KEY (tenant_id, corrects_id) REFERENCES custody_event (tenant_id, id),
  CONSTRAINT custody_event_known_after CHECK (happened_at <= recorded_at),
  CONSTRAINT custody_event_correction CHECK ((kind = 'corrected') = (corrects_id IS NOT NULL) AND (kind = 'corrected' OR coalesce(says = kind, false))),
  -- Every kind has the givers and receivers that its name means, and no others.
  CONSTRAINT custody_event_sides CHECK (CASE says
    WHEN 'made'             THEN num_nonnulls(from_person_id, from_store_id, from_place_id) = 0 AND to_store_id IS NOT NULL AND num_nonnulls(to_person_id, to_place_id) = 0
    WHEN 'duplicated'       THEN num_nonnulls(from_person_id, from_store_id, from_place_id) = 0 AND to_store_id IS NOT NULL AND num_nonnulls(to_person_id, to_place_id) = 0
    WHEN 'issued'           THEN from_store_id IS NOT NULL AND num_nonnulls(from_person_id, from_place_id) = 0 AND to_store_id IS NULL AND num_nonnulls(to_person_id, to_place_id) = 1
    WHEN 'returned'         THEN from_store_id IS NULL AND num_nonnulls(from_person_id, from_place_id) = 1 AND to_store_id IS NOT NULL AND num_nonnulls(to_person_id, to_place_id) = 0
    WHEN 'handed-over'      THEN num_nonnulls(from_person_id, from_store_id, from_place_id) = 1 AND num_nonnulls(to_person_id, to_store_id, to_place_id) = 1 AND (from_store_id IS NULL) = (to_store_id IS NULL)
    WHEN 'found'            THEN num_nonnulls(from_person_id, from_store_id, from_place_id) = 0 AND num_nonnulls(to_person_id, to_store_id, to_place_id) = 1
    WHEN 'seen'             THEN num_nonnulls(from_person_id, from_store_id, from_place_id) = 0 AND num_nonnulls(to_person_id, to_store_id, to_place_id) = 1
    ELSE num_nonnulls(from_person_id, from_store_id, from_place_id, to_person_id, to_store_id, to_place_id) = 0 END),
  CONSTRAINT custody_event_lent CHECK (due_back_at IS NULL OR coalesce(says IN ('issued', 'handed-over') AND due_back_at > happened_at, false)),
  CONSTRAINT custody_event_to_be_acknowledged CHECK ((acknowledge_by IS NOT NULL) = coalesce(says IN ('issued', 'returned', 'handed-over'), false))
);
CREATE INDEX custody_event_by_time ON custody_event (tenant_id, recorded_at, id);
CREATE INDEX custody_event_lent_until ON custody_event (tenant_id, due_back_at) WHERE due_back_at IS NOT NULL;
CREATE INDEX custody_event_to_acknowledge ON custody_event (tenant_id, acknowledge_by) WHERE acknowledge_by IS NOT NULL;

-- The copies of an event. class, corrects_id, exception_id and breach_due_at are filled in by the guard below.
CREATE TABLE custody_event_copy (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  event_id      uuid NOT NULL,
  key_copy_id   uuid NOT NULL,
  class         text NOT NULL,
  corrects_id   uuid,
  exception_id  uuid,
  breach_due_at timestamptz,
  PRIMARY KEY (tenant_id, event_id, key_copy_id),
  FOREIGN KEY (tenant_id, event_id) REFERENCES custody_event (tenant_id, id),
  CONSTRAINT custody_event_copy_known FOREIGN KEY (tenant_id, key_copy_id, class) REFERENCES key_copy (tenant_id, id, class),
  FOREIGN KEY (tenant_id, exception_id) REFERENCES key_exception (tenant_id, id),
  -- A correction speaks of copies that the event was about, and one event is corrected once; then its correction is.
  CONSTRAINT custody_event_copy_corrects_its_own FOREIGN KEY (tenant_id, corrects_id, key_copy_id) REFERENCES custody_event_copy (tenant_id, event_id, key_copy_id),
  CONSTRAINT custody_event_copy_corrected_once UNIQUE (tenant_id, corrects_id, key_copy_id)
);
CREATE INDEX custody_event_copy_by_copy ON custody_event_copy (tenant_id, key_copy_id);
CREATE INDEX custody_event_copy_breach ON custody_event_copy (tenant_id, breach_due_at) WHERE breach_due_at IS NOT NULL;

-- Two classes, told apart by who may be *given* a key. Giving a cash-box key to somebody of a site is refused, whoever
-- consents; that one was found there is the truth and is taken down, with a day to put it right.
CREATE FUNCTION app.guard_custody_copy() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  event     custody_event;
  at_site   uuid;
  exception uuid;
BEGIN
  SELECT * INTO event FROM custody_event e WHERE e.tenant_id = NEW.tenant_id AND e.id = NEW.event_id;
  SELECT c.class INTO NEW.class FROM key_copy c WHERE c.tenant_id = NEW.tenant_id AND c.id = NEW.key_copy_id;
  NEW.corrects_id := event.corrects_id;
  NEW.exception_id := NULL;
  NEW.breach_due_at := NULL;
  IF NEW.class IS DISTINCT FROM 'cash-box' OR num_nonnulls(event.to_person_id, event.to_place_id) = 0 THEN
    RETURN NEW;
  END IF;
  SELECT p.site_id INTO at_site FROM person p WHERE p.tenant_id = NEW.tenant_id AND p.id = event.to_person_id;
  IF event.to_place_id IS NOT NULL THEN
    SELECT p.site_id INTO at_site FROM key_place p WHERE p.tenant_id = NEW.tenant_id AND p.id = event.to_place_id;
  END IF;
  IF at_site IS NULL THEN
    RETURN NEW;
  END IF;
  SELECT x.id INTO exception FROM key_exception x
   WHERE x.tenant_id = NEW.tenant_id AND (x.site_id = at_site OR x.person_id = event.to_person_id)
     AND x.started_at <= event.happened_at AND (x.ended_at IS NULL OR x.ended_at > event.happened_at)
   ORDER BY x.granted_at LIMIT 1;
  IF exception IS NOT NULL THEN
    NEW.exception_id := exception;
  ELSIF event.says IN ('found', 'seen') OR event.kind = 'corrected' THEN
    NEW.breach_due_at := event.recorded_at + interval '24 hours';
  ELSE
    RAISE EXCEPTION 'a cash-box key is given to no one at a site'
      USING ERRCODE = 'check_violation', CONSTRAINT = 'custody_cash_box_key_not_to_a_site';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER custody_copy_guard BEFORE INSERT ON custody_event_copy
  FOR EACH ROW EXECUTE FUNCTION app.guard_custody_copy();

-- Giver and receiver, each for themselves. `how`: they recorded it themselves, signed in, or came by a one-use link.
CREATE TABLE custody_acknowledgement (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  event_id        uuid NOT NULL,
  side            text NOT NULL CHECK (side IN ('giver', 'receiver')),
  person_id       uuid NOT NULL,
  how             text NOT NULL CHECK (how IN ('recorded', 'signed-in', 'link')),
  acknowledged_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, event_id, side),
  FOREIGN KEY (tenant_id, event_id) REFERENCES custody_event (tenant_id, id),
  FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id)
);

CREATE TABLE custody_link (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  event_id    uuid NOT NULL,
  side        text NOT NULL CHECK (side IN ('giver', 'receiver')),
  person_id   uuid NOT NULL,
  secret_hash bytea NOT NULL CHECK (length(secret_hash) = 32),
  created_at  timestamptz NOT NULL,
  created_by  text NOT NULL,
  expires_at  timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, secret_hash),
  FOREIGN KEY (tenant_id, event_id) REFERENCES custody_event (tenant_id, id),
  FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id)
);

------------------------------------------------------------------------------------------------------------------------
-- Custody: where each copy was, derived from the events
------------------------------------------------------------------------------------------------------------------------
-- held_from up to held_to (null: still) the copy was there, as the books said from known_from up to known_to (null: still).
CREATE TABLE custody (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  key_copy_id uuid NOT NULL,
  key_code_id uuid NOT NULL,
  event_id    uuid NOT NULL,
  state       text NOT NULL CHECK (state IN ('held', 'missing', 'destroyed')),
  person_id   uuid,
  store_id    uuid,
  place_id    uuid,
  held_from   timestamptz NOT NULL,
  held_to     timestamptz,
  known_from  timestamptz NOT NULL,
  known_to    timestamptz,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT custody_of_a_copy FOREIGN KEY (tenant_id, key_copy_id, key_code_id) REFERENCES key_copy (tenant_id, id, key_code_id),
  CONSTRAINT custody_by_its_event FOREIGN KEY (tenant_id, event_id, key_copy_id) REFERENCES custody_event_copy (tenant_id, event_id, key_copy_id),
  CONSTRAINT custody_person FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT custody_store FOREIGN KEY (tenant_id, store_id) REFERENCES key_store (tenant_id, id),
  CONSTRAINT custody_place FOREIGN KEY (tenant_id, place_id) REFERENCES key_place (tenant_id, id),
  CONSTRAINT custody_exactly_one_holder CHECK (num_nonnulls(person_id, store_id, place_id) = CASE state WHEN 'held' THEN 1 ELSE 0 END),
  CONSTRAINT custody_times CHECK (held_to > held_from AND known_to > known_from),
  CONSTRAINT custody_destroyed_for_good CHECK (state <> 'destroyed' OR held_to IS NULL),
  -- At no moment, as known at any moment, is one copy in two places.
  CONSTRAINT custody_one_place_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, key_copy_id WITH =, tstzrange(held_from, held_to, '[)') WITH &&, tstzrange(known_from, known_to, '[)') WITH &&)
);
CREATE UNIQUE INDEX custody_now ON custody (tenant_id, key_copy_id) WHERE held_to IS NULL AND known_to IS NULL;
CREATE INDEX custody_by_copy ON custody (tenant_id, key_copy_id, held_from);
CREATE INDEX custody_by_code ON custody (tenant_id, key_code_id, held_from);
CREATE INDEX custody_by_person ON custody (tenant_id, person_id, held_from) WHERE person_id IS NOT NULL;
CREATE INDEX custody_by_store ON custody (tenant_id, store_id, held_from) WHERE store_id IS NOT NULL;
CREATE INDEX custody_by_place ON custody (tenant_id, place_id, held_from) WHERE place_id IS NOT NULL;
CREATE INDEX custody_missing ON custody (tenant_id, key_copy_id) WHERE state = 'missing' AND held_to IS NULL AND known_to IS NULL;

-- What was once known stays as it was known: it may only stop being so.
CREATE FUNCTION app.guard_custody() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  as_it_was custody;
BEGIN
  IF TG_OP = 'UPDATE' AND OLD.known_to IS NULL AND NEW.known_to IS NOT NULL THEN
    as_it_was := NEW;
    as_it_was.known_to := NULL;
    IF as_it_was IS NOT DISTINCT FROM OLD THEN
      RETURN NEW;
    END IF;
  END IF;
  RAISE EXCEPTION 'custody % was known so and stays', OLD.id
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'custody_stays_as_known';
END $$;
CREATE TRIGGER custody_stays_as_known BEFORE UPDATE OR DELETE ON custody
  FOR EACH ROW EXECUTE FUNCTION app.guard_custody();

-- Without gaps: from the moment that a copy was made there is a place for every moment, and for the present one.
CREATE FUNCTION app.refuse_gap_in_custody() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  known tstzmultirange;
BEGIN
  SELECT range_agg(tstzrange(c.held_from, c.held_to, '[)')) INTO known
    FROM custody c WHERE c.tenant_id = NEW.tenant_id AND c.key_copy_id = NEW.key_copy_id AND c.known_to IS NULL;
  IF known IS NULL OR NOT upper_inf(known) OR known <> tstzmultirange(range_merge(known)) THEN
    RAISE EXCEPTION 'there are moments at which copy % is nowhere', NEW.key_copy_id
      USING ERRCODE = 'check_violation', CONSTRAINT = 'custody_without_gaps';
  END IF;
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER custody_without_gaps AFTER INSERT OR UPDATE ON custody
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION app.refuse_gap_in_custody();

------------------------------------------------------------------------------------------------------------------------
-- Row security, grants, audit trail
------------------------------------------------------------------------------------------------------------------------
CALL app.make_tenant_table('key_code', append_only => false, audited => true, counts_revision => true);
CALL app.make_tenant_table('machine_lock', append_only => false, audited => true);
CALL app.make_tenant_table('key_store', append_only => false, audited => true);
CALL app.make_tenant_table('key_custodian', append_only => false, audited => true);
CALL app.make_tenant_table('key_place', append_only => false, audited => true, counts_revision => true);
CALL app.make_tenant_table('key_place_user', append_only => false, audited => true);
CALL app.make_tenant_table('key_exception', append_only => false, audited => true);
CALL app.make_tenant_table('key_copy', append_only => false, audited => true);
CALL app.make_tenant_table('key_ring', append_only => false, audited => true);
CALL app.make_tenant_table('key_ring_copy', append_only => false, audited => true);
CALL app.make_tenant_table('custody_event', append_only => true, audited => false);
CALL app.make_tenant_table('custody_event_copy', append_only => true, audited => false);
CALL app.make_tenant_table('custody_acknowledgement', append_only => true, audited => false);
CALL app.make_tenant_table('custody_link', append_only => true, audited => false);
CALL app.make_tenant_table('custody', append_only => false, audited => false);
REVOKE DELETE ON key_code, machine_lock, key_store, key_custodian, key_place, key_place_user, key_exception, key_copy, key_ring, key_ring_copy, custody FROM latchledger_app;
REVOKE SELECT ON custody_link FROM latchledger_reader;
