-- Records that need not be kept for as long as the operator exists go when their time is over. The books themselves (settlements,
-- statements, journal, collections, counts, readings, custody, evidence) stay: what is issued never changes, and a correction of an
-- old period must find all that it corrects.

-- What the owner decided, dated; the last word of a kind holds. Days, or full years after the end of a record's year, as the kind
-- counts. Null: kept for as long as the operator exists. Six years are the shortest time that a law known to the program asks for.
CREATE TABLE retention_decision (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  kind       text NOT NULL CHECK (kind IN ('invitations', 'mails', 'webhooks', 'imports', 'originals', 'machine-reports', 'audit-trail')),
  keep       integer,
  reason     text NOT NULL CHECK (reason <> ''),
  decided_at timestamptz NOT NULL,
  decided_by text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT retention_decision_keep CHECK (CASE kind
    WHEN 'invitations' THEN keep BETWEEN 30 AND 36500 WHEN 'webhooks' THEN keep BETWEEN 7 AND 36500 WHEN 'imports' THEN keep BETWEEN 30 AND 36500
    ELSE keep BETWEEN 6 AND 100 END)
);
CREATE INDEX retention_decision_by_time ON retention_decision (tenant_id, kind, decided_at, id);

-- While one stands nothing is removed and nobody's data is erased: a dispute, an audit, a lawsuit.
CREATE TABLE retention_hold (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  reason        text NOT NULL CHECK (reason <> ''),
  placed_at     timestamptz NOT NULL,
  placed_by     text NOT NULL,
  lifted_at     timestamptz,
  lifted_by     text,
  lifted_reason text CHECK (lifted_reason <> ''),
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT retention_hold_lifted_whole CHECK (num_nonnulls(lifted_at, lifted_by, lifted_reason) IN (0, 3))
);

-- What a night removed of a kind. One that was cut off has no end; the next goes on where it stopped, since what is gone is gone.
CREATE TABLE retention_run (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  kind       text NOT NULL CHECK (kind IN ('invitations', 'mails', 'webhooks', 'imports', 'originals', 'machine-reports', 'audit-trail')),
  local_date date NOT NULL,
  -- What was older than that went.
  before     timestamptz NOT NULL,
  removed    bigint NOT NULL DEFAULT 0 CHECK (removed >= 0),
  began_at   timestamptz NOT NULL,
  ended_at   timestamptz,
  PRIMARY KEY (tenant_id, kind, local_date)
);

CALL app.make_tenant_table('retention_decision', append_only => true, audited => true);
CALL app.make_tenant_table('retention_hold', append_only => false, audited => true);
CALL app.make_tenant_table('retention_run', append_only => false, audited => false);
REVOKE UPDATE, DELETE ON retention_hold FROM latchledger_app;
GRANT UPDATE (lifted_at, lifted_by, lifted_reason) ON retention_hold TO latchledger_app;
CALL app.make_texts_erasable('retention_decision', '{reason}');
CALL app.make_texts_erasable('retention_hold', '{reason,lifted_reason}');
-- A night without anything to remove is nothing that the trail has to tell.
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE ON retention_run
  FOR EACH ROW WHEN (NEW.removed > 0) EXECUTE FUNCTION app.audit_row('{kind,local_date}', '{}');

-- What goes. -----------------------------------------------------------------------------------------------------------

-- Of some records only the original goes, and the row says so.
ALTER TABLE audit_file ALTER COLUMN bytes DROP NOT NULL, ADD COLUMN bytes_removed_at timestamptz,
  ADD CONSTRAINT audit_file_bytes_or_removed CHECK (num_nonnulls(bytes, bytes_removed_at) = 1);
ALTER TABLE phone_visit ADD COLUMN body_removed_at timestamptz;
ALTER TABLE payment_run ADD COLUMN file_removed_at timestamptz, DROP CONSTRAINT payment_run_file_whole,
  ADD CONSTRAINT payment_run_file_whole CHECK (num_nonnulls(file_made_at, file_made_on, file_made_by, data_key_id, file_sha256) IN (0, 5)
    AND num_nonnulls(sealed_file, file_removed_at) = CASE WHEN file_made_at IS NULL THEN 0 ELSE 1 END);

GRANT SELECT (file_removed_at) ON payment_run TO latchledger_reader;

-- Whether the function below is at work: it runs as the owner of the tables, and says so for its own transaction.
CREATE FUNCTION app.is_removing() RETURNS boolean LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp
  RETURN coalesce(current_setting('app.removing', true), '') = 'on' AND current_user = 'latchledger_owner';
GRANT EXECUTE ON FUNCTION app.is_removing() TO latchledger_app, latchledger_relay, latchledger_reader, latchledger_backup;

-- The tables of a kind, children first. `since`: the moment of a row `t` from which its time counts, null while it must stay;
-- `line`: in which order rows go; `within`: what narrows the search by an index, $1 being the moment before which rows go;
-- `change`: what is taken out of a row that stays, at the moment $2. A table is reached when those before it hold nothing more.
CREATE FUNCTION app.removable(of_kind text) RETURNS TABLE (place integer, table_name text, since text, line text, within text, change text)
  LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS $$
  SELECT r.place, r.table_name, r.since, coalesce(r.line, r.since), coalesce(r.within, 'true'), r.change FROM (VALUES
    ('invitations', 1, 'identity.one_use_link', 'coalesce(t.used_at, t.withdrawn_at, t.expires_at)', NULL, NULL, NULL),

    ('mails', 1, 'public.statement_mail', $s$CASE WHEN t.state <> 'waiting' THEN t.changed_at END$s$, NULL, NULL, NULL),
    ('mails', 2, 'public.certificate_mail', $s$CASE WHEN t.state <> 'waiting' THEN t.changed_at END$s$, NULL, NULL, NULL),
    -- What was not announced yet would be announced anew.
    ('mails', 3, 'public.bank_detail_mail', $s$CASE WHEN EXISTS (SELECT FROM public.bank_detail_notice n
       WHERE n.tenant_id = t.tenant_id AND n.bank_detail_id = t.bank_detail_id AND n.about = t.about) THEN t.changed_at END$s$, NULL, NULL, NULL),
    ('mails', 4, 'public.statement_opening', 't.opened_at', NULL, NULL, NULL),

    ('webhooks', 1, 'public.webhook_attempt', $s$(SELECT d.changed_at FROM public.webhook_delivery d
       WHERE d.tenant_id = t.tenant_id AND d.id = t.delivery_id AND d.state NOT IN ('waiting', 'sending'))$s$, NULL, NULL, NULL),
    ('webhooks', 2, 'public.webhook_delivery', $s$CASE WHEN t.state NOT IN ('waiting', 'sending') THEN t.changed_at END$s$, NULL, NULL, NULL),
    ('webhooks', 3, 'public.webhook_event', $s$CASE WHEN t.body IS NOT NULL THEN greatest(t.happened_at, (SELECT max(CASE WHEN d.state IN ('waiting', 'sending') THEN 'infinity' ELSE d.changed_at END)
       FROM public.webhook_delivery d WHERE d.tenant_id = t.tenant_id AND d.event_id = t.id)) END$s$, NULL, NULL, NULL),
    ('webhooks', 4, 'public.webhook_mail', 't.changed_at', NULL, NULL, NULL),

    -- A file that still waits is discarded first: half of it must not enter the books.
    ('imports', 1, 'public.import_file', $s$CASE WHEN t.state = 'staged' THEN t.uploaded_at END$s$, NULL, NULL, $s$state = 'discarded'$s$),
    ('imports', 2, 'public.import_row', $s$(SELECT f.uploaded_at FROM public.import_file f WHERE f.tenant_id = t.tenant_id AND f.id = t.import_file_id AND f.state <> 'staged')$s$, NULL, NULL, NULL),
    ('imports', 3, 'public.import_key_row', $s$(SELECT f.uploaded_at FROM public.import_file f WHERE f.tenant_id = t.tenant_id AND f.id = t.import_file_id AND f.state <> 'staged')$s$, NULL, NULL, NULL),
    ('imports', 4, 'public.import_error', $s$(SELECT f.uploaded_at FROM public.import_file f WHERE f.tenant_id = t.tenant_id AND f.id = t.import_file_id AND f.state <> 'staged')$s$, NULL, NULL, NULL),

    ('originals', 1, 'public.audit_file', $s$CASE WHEN t.bytes IS NOT NULL AND t.state <> 'staged' THEN t.staged_at END$s$, NULL, NULL, 'bytes = NULL, bytes_removed_at = $2'),
    -- The digests stay: what comes again is still known. So does where and when the visit was.
    ('originals', 2, 'public.phone_visit_ruling', $s$CASE WHEN t.entered <> '{}' THEN t.ruled_at END$s$, NULL, NULL, $s$entered = '{}'$s$),
    ('originals', 3, 'public.phone_visit', $s$CASE WHEN t.body_removed_at IS NULL THEN CASE t.outcome WHEN 'entered' THEN t.received_at ELSE (SELECT r.ruled_at
       FROM public.phone_visit_ruling r WHERE r.tenant_id = t.tenant_id AND r.visit_id = t.id) END END$s$, NULL, NULL,
       $s$body = jsonb_strip_nulls(jsonb_build_object('siteId', t.body -> 'siteId', 'happenedAt', t.body -> 'happenedAt')),
          problem = CASE WHEN t.problem IS NOT NULL THEN jsonb_build_object('code', t.problem -> 'code') END, body_removed_at = $2$s$),
    ('originals', 4, 'public.payment_run', $s$CASE WHEN t.sealed_file IS NOT NULL THEN CASE t.state WHEN 'paid' THEN t.recorded_at WHEN 'cancelled' THEN t.cancelled_at END END$s$, NULL, NULL,
       'sealed_file = NULL, file_removed_at = $2'),

    -- What a meter showed last stays.
    ('machine-reports', 1, 'public.machine_report_reading', $s$CASE WHEN EXISTS (SELECT FROM public.machine_report_reading l
       WHERE l.tenant_id = t.tenant_id AND l.meter_id = t.meter_id AND l.read_at > t.read_at) THEN greatest(t.read_at, t.received_at) END$s$, NULL, NULL, NULL),
    -- So does a fault that goes on, and what a machine said while an outage of it goes on. What somebody said of a fault goes before its messages,
    -- and these, beginnings before their ends, not before that is old, too.
    ('machine-reports', 2, 'public.machine_fault_dismissal', $s$CASE WHEN EXISTS (SELECT FROM public.machine_event l
         WHERE l.tenant_id = t.tenant_id AND l.machine_id = t.machine_id AND l.fault = t.fault AND l.happened_at > t.started_at AND l.kind = CASE t.kind WHEN 'fault' THEN 'fault-cleared' ELSE 'door-closed' END)
       AND NOT EXISTS (SELECT FROM public.outage o WHERE o.tenant_id = t.tenant_id AND o.machine_id = t.machine_id AND o.ended_at IS NULL AND o.taken_back_at IS NULL)
       THEN t.dismissed_at END$s$, NULL, NULL, NULL),
    ('machine-reports', 3, 'public.machine_event', $s$CASE WHEN (t.kind IN ('door-closed', 'fault-cleared') OR EXISTS (SELECT FROM public.machine_event l
         WHERE l.tenant_id = t.tenant_id AND l.machine_id = t.machine_id AND l.fault = t.fault AND l.happened_at > t.happened_at AND l.kind = CASE t.kind WHEN 'fault' THEN 'fault-cleared' ELSE 'door-closed' END))
       AND NOT EXISTS (SELECT FROM public.outage o WHERE o.tenant_id = t.tenant_id AND o.machine_id = t.machine_id AND o.ended_at IS NULL AND o.taken_back_at IS NULL)
       THEN greatest(t.happened_at, (SELECT max(d.dismissed_at) FROM public.machine_fault_dismissal d
              WHERE d.tenant_id = t.tenant_id AND d.machine_id = t.machine_id AND d.fault = t.fault AND d.started_at <= t.happened_at)) END$s$, 't.happened_at', NULL, NULL),

    ('audit-trail', 1, 'public.audit_entry', 't.recorded_at', 't.id', 't.id < app.first_id_at($1)', NULL)
  ) AS r (kind, place, table_name, since, line, within, change) WHERE r.kind = of_kind $$;

-- The smallest id of version 7 (RFC 9562, 5.7) of a moment: what has ids of the database is in the order of time by its key.
CREATE FUNCTION app.first_id_at(moment timestamptz) RETURNS uuid LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp
  RETURN (lpad(to_hex(floor(extract(epoch FROM moment) * 1000)::bigint), 12, '0') || '70008000000000000000')::uuid;

-- What would go, by table, of what is older than a moment.
CREATE FUNCTION app.count_removable(of_kind text, before timestamptz) RETURNS TABLE (table_name text, records bigint, oldest timestamptz)
  LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  target record;
BEGIN
  FOR target IN SELECT * FROM app.removable(of_kind) ORDER BY place LOOP
    RETURN QUERY EXECUTE format('SELECT %1$L, count(*), min(%2$s) FROM %1$s t WHERE t.tenant_id = app.current_tenant() AND %3$s AND %2$s < $1', target.table_name, target.since, target.within)
      USING before, before;
  END LOOP;
END $$;
GRANT EXECUTE ON FUNCTION app.count_removable(text, timestamptz) TO latchledger_app;

-- Removes at most so many records of a kind that are older than a moment, the oldest first, and gives how many. Refused while a hold
-- stands, and for what no operator may remove yet. `at` is the present.
CREATE FUNCTION app.remove_expired(of_kind text, before timestamptz, at_most integer, at timestamptz) RETURNS integer
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  target  record;
  changed integer;
  removed integer := 0;
BEGIN
  -- One at a time with whoever places a hold: what a hold found is there from then on.
  PERFORM pg_advisory_xact_lock(hashtextextended('retention:' || app.current_tenant(), 0));
  IF EXISTS (SELECT FROM public.retention_hold h WHERE h.tenant_id = app.current_tenant() AND h.lifted_at IS NULL) THEN
    RAISE EXCEPTION 'a hold stands' USING ERRCODE = 'check_violation', SCHEMA = 'public', TABLE = 'retention_hold', CONSTRAINT = 'retention_hold_stands';
  END IF;
  IF before > at - (CASE of_kind WHEN 'webhooks' THEN interval '7 days' WHEN 'invitations' THEN interval '30 days' WHEN 'imports' THEN interval '30 days' ELSE interval '6 years' END) THEN
    RAISE EXCEPTION '% are kept for longer', of_kind USING ERRCODE = 'check_violation', SCHEMA = 'public', TABLE = 'retention_run', CONSTRAINT = 'retention_run_not_too_early';
  END IF;
  PERFORM set_config('app.removing', 'on', true);
  FOR target IN SELECT * FROM app.removable(of_kind) ORDER BY place LOOP
    EXIT WHEN removed >= at_most;
    EXECUTE format('%s WHERE t.ctid = ANY (ARRAY(SELECT t.ctid FROM %s t WHERE t.tenant_id = app.current_tenant() AND %s AND %s < $1 ORDER BY %s LIMIT $3)) AND t.tenant_id = app.current_tenant()',
      CASE WHEN target.change IS NULL THEN format('DELETE FROM %s t', target.table_name) ELSE format('UPDATE %s t SET %s', target.table_name, target.change) END,
      target.table_name, target.within, target.since, target.line)
      USING before, at, at_most - removed;
    GET DIAGNOSTICS changed = ROW_COUNT;
    removed := removed + changed;
  END LOOP;
  PERFORM set_config('app.removing', '', true);
  RETURN removed;
END $$;
GRANT EXECUTE ON FUNCTION app.remove_expired(text, timestamptz, integer, timestamptz) TO latchledger_app;

-- A table that otherwise only grows lets that one function remove from it. A later call of app.make_texts_erasable for it undoes this: say it again after it.
CREATE PROCEDURE app.make_removable(target regclass) LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  EXECUTE format('DROP TRIGGER refuse_change ON %s', target);
  EXECUTE format('CREATE TRIGGER refuse_change BEFORE UPDATE OR DELETE ON %s FOR EACH STATEMENT WHEN (NOT app.is_erasing() AND NOT app.is_removing()) EXECUTE FUNCTION app.refuse_change()', target);
  EXECUTE format('ALTER TABLE %s ENABLE ALWAYS TRIGGER refuse_change', target);
END $$;
CALL app.make_removable('statement_opening');
CALL app.make_removable('phone_visit');
CALL app.make_removable('phone_visit_ruling');
CALL app.make_removable('machine_report_reading');
CALL app.make_removable('machine_event');
CALL app.make_removable('machine_fault_dismissal');
CALL app.make_removable('audit_entry');

CREATE OR REPLACE FUNCTION app.guard_payment_run() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  first_download boolean := OLD.state = 'file-made' AND NEW.state = 'file-made' AND OLD.downloaded_at IS NULL AND NEW.downloaded_at IS NOT NULL;
BEGIN
  IF app.is_erasing() OR app.is_removing() THEN
    RETURN NEW;
  END IF;
  IF NOT first_download AND (OLD.state, NEW.state) NOT IN
     (('draft', 'file-made'), ('draft', 'cancelled'), ('file-made', 'cancelled'), ('file-made', 'sent'), ('sent', 'paid'), ('sent', 'cancelled')) THEN
    RAISE EXCEPTION 'a payment run does not go from % to %', OLD.state, NEW.state USING ERRCODE = 'check_violation', CONSTRAINT = 'payment_run_goes_forward';
  END IF;
  IF NOT first_download AND (OLD.downloaded_at, OLD.downloaded_by) IS DISTINCT FROM (NEW.downloaded_at, NEW.downloaded_by) THEN
    RAISE EXCEPTION 'the first download of a payment file stays as it is' USING ERRCODE = 'check_violation', CONSTRAINT = 'payment_run_first_download';
  END IF;
  RETURN NEW;
END $$;

-- The trail would keep what goes.
DROP TRIGGER audit_row ON statement_mail;
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON statement_mail FOR EACH ROW WHEN (NOT app.is_removing()) EXECUTE FUNCTION app.audit_row('{settlement_id,receiver_id}', '{}');
DROP TRIGGER audit_row ON certificate_mail;
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON certificate_mail FOR EACH ROW WHEN (NOT app.is_removing()) EXECUTE FUNCTION app.audit_row('{revocation_id,about,account_id}', '{}');
DROP TRIGGER audit_row ON identity.one_use_link;
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON identity.one_use_link FOR EACH ROW WHEN (NOT app.is_removing()) EXECUTE FUNCTION app.audit_row('{id}', '{secret_hash,email}');
DROP TRIGGER audit_row ON machine_fault_dismissal;
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON machine_fault_dismissal FOR EACH ROW WHEN (NOT app.is_removing()) EXECUTE FUNCTION app.audit_row('{machine_id,started_at,kind,fault}', '{}');
