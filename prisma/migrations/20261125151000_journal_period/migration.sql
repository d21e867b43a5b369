-- The journal is closed through the end of a month, and opened again from the beginning of one: the last row says through
-- which day it is closed now; null, or no row, says that all of it is open.
CREATE TABLE journal_period_event (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  position       integer NOT NULL CHECK (position >= 1),
  kind           text NOT NULL CHECK (kind IN ('closed', 'reopened')),
  closed_through date,
  reason         text NOT NULL CHECK (reason <> ''),
  recorded_at    timestamptz NOT NULL,
  recorded_by    text NOT NULL,
  PRIMARY KEY (tenant_id, position),
  CONSTRAINT journal_period_ends_with_month CHECK (extract(day FROM closed_through + 1) = 1),
  CONSTRAINT journal_period_closed_through_a_day CHECK (kind = 'reopened' OR closed_through IS NOT NULL)
);

-- Whoever posts shares this lock until COMMIT, whoever closes or reopens has it alone: no entry slips into a month while
-- it is being closed. It comes after agreement, period and settlement, and before number counter and evidence log; whoever
-- closes takes no other lock after it.
CREATE FUNCTION app.journal_lock_key(tenant uuid) RETURNS bigint LANGUAGE sql IMMUTABLE PARALLEL SAFE SET search_path = pg_catalog, pg_temp
  RETURN hashtextextended('journal:' || tenant::text, 0);

-- Last day through which the journal is closed; it stays so until the end of the transaction that asked. VOLATILE, so that
-- the row is read after the lock is there.
CREATE FUNCTION app.share_journal(tenant uuid) RETURNS date LANGUAGE plpgsql VOLATILE SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM pg_advisory_xact_lock_shared(app.journal_lock_key(tenant));
  RETURN (SELECT e.closed_through FROM journal_period_event e WHERE e.tenant_id = tenant ORDER BY e.position DESC LIMIT 1);
END $$;
COMMENT ON FUNCTION app.share_journal(uuid) IS 'Keeps the journal from being closed or reopened until COMMIT, and says through which day it is closed.';

GRANT EXECUTE ON FUNCTION app.journal_lock_key(uuid), app.share_journal(uuid) TO latchledger_app;

CREATE FUNCTION app.guard_journal_period() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  before journal_period_event;
BEGIN
  PERFORM pg_advisory_xact_lock(app.journal_lock_key(NEW.tenant_id));
  SELECT * INTO before FROM journal_period_event e WHERE e.tenant_id = NEW.tenant_id ORDER BY e.position DESC LIMIT 1;
  IF NEW.position <> coalesce(before.position, 0) + 1
     OR (NEW.kind = 'closed') <> (coalesce(NEW.closed_through, '-infinity') > coalesce(before.closed_through, '-infinity'))
     OR NEW.closed_through IS NOT DISTINCT FROM before.closed_through THEN
    RAISE EXCEPTION 'the journal is closed through %, which % does not follow', before.closed_through, NEW.closed_through
      USING ERRCODE = 'check_violation', CONSTRAINT = 'journal_period_in_order';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER journal_period_in_order BEFORE INSERT ON journal_period_event FOR EACH ROW EXECUTE FUNCTION app.guard_journal_period();

-- Per statement, so that a batch of thousands of entries pays once.
CREATE FUNCTION app.refuse_entry_in_closed_period() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  first record;
  closed_through date;
BEGIN
  FOR first IN SELECT w.tenant_id, min(w.accounting_date) AS accounting_date FROM written w GROUP BY w.tenant_id LOOP
    closed_through := app.share_journal(first.tenant_id);
    IF first.accounting_date <= closed_through THEN
      RAISE EXCEPTION 'an entry of % is in a period that is closed', first.accounting_date
        USING ERRCODE = 'check_violation', CONSTRAINT = 'journal_entry_in_open_period',
              DETAIL = format('The journal is closed through %s; the entry would be of %s.', closed_through, first.accounting_date);
    END IF;
  END LOOP;
  RETURN NULL;
END $$;
CREATE TRIGGER journal_entry_in_open_period AFTER INSERT ON journal_entry
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.refuse_entry_in_closed_period();

CALL app.make_tenant_table('journal_period_event', append_only => true, audited => true);
