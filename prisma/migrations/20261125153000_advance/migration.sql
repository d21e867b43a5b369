-- Money given to a payee before it has earned it. Settlements work it off; the rest is paid back or given up.
CREATE TABLE advance (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  agreement_id    uuid NOT NULL,
  site_id         uuid NOT NULL,
  party_id        uuid NOT NULL,
  currency        text NOT NULL,
  amount_minor    bigint NOT NULL CHECK (amount_minor > 0),
  method          text NOT NULL CHECK (method IN ('bank', 'cash', 'other')),
  reason          text NOT NULL CHECK (reason <> ''),
  document        text NOT NULL DEFAULT '',
  given_on        date NOT NULL,
  accounting_date date NOT NULL,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, id, agreement_id),
  FOREIGN KEY (tenant_id, agreement_id, site_id) REFERENCES agreement (tenant_id, id, site_id),
  FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id),
  CONSTRAINT advance_booked_later CHECK (accounting_date >= given_on)
);
CREATE INDEX advance_by_account ON advance (tenant_id, agreement_id, party_id, given_on);
CREATE INDEX advance_by_site ON advance (tenant_id, site_id, given_on);

-- What takes an advance down outside a settlement: the payee pays it back, or the operator gives it up. What was recorded by
-- mistake is undone by a row of the opposite amount.
CREATE TABLE advance_reduction (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  advance_id      uuid NOT NULL,
  agreement_id    uuid NOT NULL,
  kind            text NOT NULL CHECK (kind IN ('paid-back', 'written-off', 'undone')),
  undoes_id       uuid,
  amount_minor    bigint NOT NULL CHECK ((kind = 'undone') = (amount_minor < 0) AND amount_minor <> 0),
  method          text CHECK (method IN ('bank', 'cash', 'other')),
  reason          text NOT NULL,
  document        text NOT NULL DEFAULT '',
  happened_on     date NOT NULL,
  accounting_date date NOT NULL,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT advance_reduction_of_advance FOREIGN KEY (tenant_id, advance_id, agreement_id) REFERENCES advance (tenant_id, id, agreement_id),
  UNIQUE (tenant_id, id, advance_id),
  CONSTRAINT advance_reduction_undone_once UNIQUE (tenant_id, undoes_id),
  CONSTRAINT advance_reduction_undoes FOREIGN KEY (tenant_id, undoes_id, advance_id) REFERENCES advance_reduction (tenant_id, id, advance_id),
  CONSTRAINT advance_reduction_undoes_something CHECK ((kind = 'undone') = (undoes_id IS NOT NULL)),
  CONSTRAINT advance_paid_back_somehow CHECK ((kind = 'paid-back') = (method IS NOT NULL)),
  CONSTRAINT advance_written_off_for_a_reason CHECK (kind = 'paid-back' OR reason <> ''),
  CONSTRAINT advance_reduction_booked_later CHECK (accounting_date >= happened_on)
);
CREATE INDEX advance_reduction_by_advance ON advance_reduction (tenant_id, advance_id);

-- What a numbered settlement worked off. One that is reversed worked off nothing: whoever adds up passes over it.
CREATE TABLE advance_recoup (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  advance_id    uuid NOT NULL,
  settlement_id uuid NOT NULL,
  amount_minor  bigint NOT NULL CHECK (amount_minor > 0),
  PRIMARY KEY (tenant_id, advance_id, settlement_id),
  FOREIGN KEY (tenant_id, advance_id) REFERENCES advance (tenant_id, id),
  FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id)
);
CREATE INDEX advance_recoup_by_settlement ON advance_recoup (tenant_id, settlement_id);

-- No advance is worked off, paid back and given up beyond its amount, whoever writes.
CREATE FUNCTION app.exceeded_advance(tenant uuid, advances uuid[]) RETURNS uuid LANGUAGE plpgsql STABLE SET search_path = public, pg_temp AS $$
DECLARE
  wrong uuid;
BEGIN
  EXECUTE $query$
    SELECT a.id FROM advance a
     WHERE a.tenant_id = $1 AND a.id = ANY ($2)
       AND a.amount_minor
         < (SELECT coalesce(sum(d.amount_minor), 0) FROM advance_reduction d WHERE d.tenant_id = a.tenant_id AND d.advance_id = a.id)
         + (SELECT coalesce(sum(c.amount_minor), 0) FROM advance_recoup c
             WHERE c.tenant_id = a.tenant_id AND c.advance_id = a.id
               AND NOT EXISTS (SELECT FROM settlement_reversal r WHERE r.tenant_id = c.tenant_id AND r.settlement_id = c.settlement_id))
     LIMIT 1 $query$ INTO wrong USING tenant, advances;
  RETURN wrong;
END $$;
GRANT EXECUTE ON FUNCTION app.exceeded_advance(uuid, uuid[]) TO latchledger_app;

-- The account's lock comes first, so that two writers at once see each other.
CREATE FUNCTION app.guard_advance_reduction() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM FROM agreement a WHERE a.tenant_id = NEW.tenant_id AND a.id = NEW.agreement_id FOR NO KEY UPDATE;
  IF NEW.undoes_id IS NOT NULL AND NOT EXISTS (SELECT FROM advance_reduction d WHERE d.tenant_id = NEW.tenant_id AND d.id = NEW.undoes_id AND d.amount_minor = -NEW.amount_minor) THEN
    RAISE EXCEPTION 'reduction % is undone as a whole', NEW.undoes_id USING ERRCODE = 'check_violation', CONSTRAINT = 'advance_reduction_undone_whole';
  END IF;
  IF app.exceeded_advance(NEW.tenant_id, ARRAY[NEW.advance_id]) IS NOT NULL THEN
    RAISE EXCEPTION 'advance % would be taken down beyond its amount', NEW.advance_id USING ERRCODE = 'check_violation', CONSTRAINT = 'advance_not_exceeded';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER advance_reduction_guard AFTER INSERT ON advance_reduction FOR EACH ROW EXECUTE FUNCTION app.guard_advance_reduction();

-- Whoever numbers shares the account's lock already.
CREATE FUNCTION app.guard_advance_recoup() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  wrong uuid;
BEGIN
  SELECT app.exceeded_advance(of.tenant_id, of.advances) INTO wrong
    FROM (SELECT w.tenant_id, array_agg(w.advance_id) AS advances FROM written w GROUP BY w.tenant_id) of
   WHERE app.exceeded_advance(of.tenant_id, of.advances) IS NOT NULL LIMIT 1;
  IF wrong IS NOT NULL THEN
    RAISE EXCEPTION 'advance % would be taken down beyond its amount', wrong USING ERRCODE = 'check_violation', CONSTRAINT = 'advance_not_exceeded';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER advance_recoup_guard AFTER INSERT ON advance_recoup
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.guard_advance_recoup();

CALL app.make_tenant_table('advance', append_only => true, audited => true);
CALL app.make_tenant_table('advance_reduction', append_only => true, audited => true);
CALL app.make_tenant_table('advance_recoup', append_only => true, audited => false);
