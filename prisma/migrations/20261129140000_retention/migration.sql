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

-- What a night removed of a kind, written by what removes. One that was cut off has no end; the next goes on where it stopped, since
-- what is gone is gone.
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
REVOKE INSERT, UPDATE, DELETE ON retention_run FROM latchledger_app;
CALL app.make_texts_erasable('retention_decision', '{reason}');
CALL app.make_texts_erasable('retention_hold', '{reason,lifted_reason}');
-- A night without anything to remove is nothing that the trail has to tell.
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE ON retention_run
  FOR EACH ROW WHEN (NEW.removed > 0) EXECUTE FUNCTION app.audit_row('{kind,local_date}', '{}');

-- What goes. -----------------------------------------------------------------------------------------------------------

-- That a statement went to somebody stays, or it would go out to them again; who asked for it goes.
ALTER TABLE statement_mail ALTER COLUMN asked_at DROP NOT NULL, ALTER COLUMN asked_by DROP NOT NULL,
  ADD CONSTRAINT statement_mail_asked_whole CHECK (num_nonnulls(asked_at, asked_by) IN (0, 2));

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
-- `line`: in which order rows go; `within`: what every such row fulfils and an index finds, $1 being the moment before which rows go;
-- `change`: what is taken out of a row that stays, at the moment $2. A table is reached when those before it hold nothing more.
CREATE FUNCTION app.removable(of_kind text) RETURNS TABLE (place integer, table_name text, since text, line text, within text, change text)
  LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS $$
  SELECT r.place, r.table_name, r.since, coalesce(r.line, r.since), coalesce(r.within, 'true'), r.change FROM (VALUES
    ('invitations', 1, 'identity.one_use_link', 'coalesce(t.used_at, t.withdrawn_at, t.expires_at)', NULL, NULL, NULL),

    ('mails', 1, 'public.statement_mail', $s$CASE WHEN t.state <> 'waiting' AND t.asked_by IS NOT NULL THEN t.changed_at END$s$, 't.changed_at', 't.asked_by IS NOT NULL AND t.changed_at < $1', 'asked_at = NULL, asked_by = NULL'),
    -- Owners are told of a revocation when it is recorded, and then no more.
    ('mails', 2, 'public.certificate_mail', $s$CASE WHEN t.state <> 'waiting' THEN t.changed_at END$s$, NULL, NULL, NULL),
    -- What was not announced yet would be announced anew.
    ('mails', 3, 'public.bank_detail_mail', $s$CASE WHEN EXISTS (SELECT FROM public.bank_detail_notice n
       WHERE n.tenant_id = t.tenant_id AND n.bank_detail_id = t.bank_detail_id AND n.about = t.about) THEN t.changed_at END$s$, NULL, NULL, NULL),
    ('mails', 4, 'public.statement_opening', 't.opened_at', NULL, 't.opened_at < $1', NULL),

    ('webhooks', 1, 'public.webhook_attempt', $s$(SELECT d.changed_at FROM public.webhook_delivery d
       WHERE d.tenant_id = t.tenant_id AND d.id = t.delivery_id AND d.state NOT IN ('waiting', 'sending'))$s$, 't.begun_at', 't.begun_at < $1', NULL),
    ('webhooks', 2, 'public.webhook_delivery', $s$CASE WHEN t.state NOT IN ('waiting', 'sending') THEN t.changed_at END$s$, 't.changed_at', 't.changed_at < $1', NULL),
    ('webhooks', 3, 'public.webhook_event', $s$CASE WHEN t.body IS NOT NULL THEN greatest(t.happened_at, (SELECT max(CASE WHEN d.state IN ('waiting', 'sending') THEN 'infinity' ELSE d.changed_at END)
       FROM public.webhook_delivery d WHERE d.tenant_id = t.tenant_id AND d.event_id = t.id)) END$s$, 't.happened_at', 't.happened_at < $1', NULL),
    ('webhooks', 4, 'public.webhook_mail', 't.changed_at', NULL, NULL, NULL),

    -- A file that still waits is discarded first: half of it must not enter the books.
    ('imports', 1, 'public.import_file', $s$CASE WHEN t.state = 'staged' THEN t.uploaded_at END$s$, NULL, NULL, $s$state = 'discarded'$s$),
    ('imports', 2, 'public.import_row', $s$(SELECT f.uploaded_at FROM public.import_file f WHERE f.tenant_id = t.tenant_id AND f.id = t.import_file_id AND f.state <> 'staged')$s$, 't.import_file_id',
       't.import_file_id = ANY (ARRAY(SELECT f.id FROM public.import_file f WHERE f.tenant_id = app.current_tenant() AND f.uploaded_at < $1))', NULL),
    ('imports', 3, 'public.import_key_row', $s$(SELECT f.uploaded_at FROM public.import_file f WHERE f.tenant_id = t.tenant_id AND f.id = t.import_file_id AND f.state <> 'staged')$s$, 't.import_file_id',
       't.import_file_id = ANY (ARRAY(SELECT f.id FROM public.import_file f WHERE f.tenant_id = app.current_tenant() AND f.uploaded_at < $1))', NULL),
    ('imports', 4, 'public.import_error', $s$(SELECT f.uploaded_at FROM public.import_file f WHERE f.tenant_id = t.tenant_id AND f.id = t.import_file_id AND f.state <> 'staged')$s$, 't.import_file_id',
       't.import_file_id = ANY (ARRAY(SELECT f.id FROM public.import_file f WHERE f.tenant_id = app.current_tenant() AND f.uploaded_at < $1))', NULL),

    ('originals', 1, 'public.audit_file', $s$CASE WHEN t.bytes IS NOT NULL AND t.state <> 'staged' THEN t.staged_at END$s$, 't.staged_at', 't.bytes IS NOT NULL AND t.staged_at < $1', 'bytes = NULL, bytes_removed_at = $2'),
    -- The digests stay: what comes again is still known. So does where and when the visit was.
    ('originals', 2, 'public.phone_visit_ruling', $s$CASE WHEN t.entered <> '{}' THEN t.ruled_at END$s$, NULL, NULL, $s$entered = '{}'$s$),
    ('originals', 3, 'public.phone_visit', $s$CASE WHEN t.body_removed_at IS NULL THEN CASE t.outcome WHEN 'entered' THEN t.received_at ELSE (SELECT r.ruled_at
       FROM public.phone_visit_ruling r WHERE r.tenant_id = t.tenant_id AND r.visit_id = t.id) END END$s$, 't.received_at', 't.body_removed_at IS NULL AND t.received_at < $1',
       $s$body = jsonb_strip_nulls(jsonb_build_object('siteId', t.body -> 'siteId', 'happenedAt', t.body -> 'happenedAt')),
          problem = CASE WHEN t.problem IS NOT NULL THEN jsonb_build_object('code', t.problem -> 'code') END, body_removed_at = $2$s$),
    ('originals', 4, 'public.payment_run', $s$CASE WHEN t.sealed_file IS NOT NULL THEN CASE t.state WHEN 'paid' THEN t.recorded_at WHEN 'cancelled' THEN t.cancelled_at END END$s$, NULL, NULL,
       'sealed_file = NULL, file_removed_at = $2'),

    -- What a meter showed last stays.
    ('machine-reports', 1, 'public.machine_report_reading', $s$CASE WHEN EXISTS (SELECT FROM public.machine_report_reading l
       WHERE l.tenant_id = t.tenant_id AND l.meter_id = t.meter_id AND l.read_at > t.read_at) THEN greatest(t.read_at, t.received_at) END$s$, 't.received_at', 't.received_at < $1', NULL),
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
              WHERE d.tenant_id = t.tenant_id AND d.machine_id = t.machine_id AND d.fault = t.fault AND d.started_at <= t.happened_at)) END$s$, 't.happened_at', 't.happened_at < $1', NULL),

    ('audit-trail', 1, 'public.audit_entry', 't.recorded_at', 't.id', 't.id < app.first_id_at($1)', NULL)
  ) AS r (kind, place, table_name, since, line, within, change) WHERE r.kind = of_kind $$;

-- So that a night reads what goes, and not the table.
CREATE INDEX statement_mail_whole ON statement_mail (tenant_id, changed_at) WHERE asked_by IS NOT NULL;
CREATE INDEX statement_opening_by_time ON statement_opening (tenant_id, opened_at);
CREATE INDEX webhook_attempt_by_time ON webhook_attempt (tenant_id, begun_at);
CREATE INDEX webhook_delivery_by_time ON webhook_delivery (tenant_id, changed_at);
CREATE INDEX audit_file_whole ON audit_file (tenant_id, staged_at) WHERE bytes IS NOT NULL;
CREATE INDEX phone_visit_whole ON phone_visit (tenant_id, received_at) WHERE body_removed_at IS NULL;
CREATE INDEX machine_report_reading_by_time ON machine_report_reading (tenant_id, received_at);
CREATE INDEX machine_event_by_time ON machine_event (tenant_id, happened_at);

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

-- Refuses while a hold stands: called behind what was removed or erased, so that placing a hold waits for no more than the end of such a
-- transaction, and once a hold is committed nothing goes that was not gone before. Whoever places a hold takes the same lock.
CREATE FUNCTION app.refuse_while_held() RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended('retention:' || app.current_tenant(), 0));
  IF EXISTS (SELECT FROM public.retention_hold h WHERE h.tenant_id = app.current_tenant() AND h.lifted_at IS NULL) THEN
    RAISE EXCEPTION 'a hold stands' USING ERRCODE = 'check_violation', SCHEMA = 'public', TABLE = 'retention_hold', CONSTRAINT = 'retention_hold_stands';
  END IF;
END $$;
GRANT EXECUTE ON FUNCTION app.refuse_while_held() TO latchledger_app;

-- Refuses a present that cannot be trusted: ahead of the clock of the database, or without anything in the audit trail that was recorded
-- between a month and a week before it, as after a clock was set wrong. Then nothing goes for a week, in which somebody will see the
-- wrong day. It does not guard against a clock that stays wrong for longer, nor against one that is wrong by less than a month.
CREATE FUNCTION app.refuse_doubtful_clock(at timestamptz) RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  IF at > clock_timestamp() + interval '5 minutes' THEN
    RAISE EXCEPTION 'nothing is removed ahead of time' USING ERRCODE = 'check_violation', SCHEMA = 'public', TABLE = 'retention_run', CONSTRAINT = 'retention_run_not_ahead';
  END IF;
  IF NOT EXISTS (SELECT FROM public.audit_entry a WHERE a.tenant_id = app.current_tenant()
                    AND a.id >= app.first_id_at(at - interval '31 days') AND a.id < app.first_id_at(at - interval '7 days')) THEN
    RAISE EXCEPTION 'nothing was recorded in the weeks before' USING ERRCODE = 'check_violation', SCHEMA = 'public', TABLE = 'retention_run', CONSTRAINT = 'retention_run_clock_trusted';
  END IF;
END $$;

-- For how many full years after the end of its year a record is kept at least: what libs/domain/retention/law.ts says, with its sources.
-- Where no law is known the longest of these holds.
CREATE FUNCTION app.least_years_kept(of_kind text, of_country text) RETURNS integer LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS $$
  SELECT max(CASE of_kind WHEN 'mails' THEN l.letters WHEN 'audit-trail' THEN l.books ELSE l.vouchers END)
    FROM (VALUES ('AT', 8, 8, 8), ('CH', 11, 11, 11), ('DE', 6, 8, 10), ('ES', 7, 7, 7), ('FR', 11, 11, 11), ('GB', 7, 7, 7), ('IT', 11, 11, 11), ('NL', 8, 8, 8), ('US', 7, 7, 7))
         AS l (country, letters, vouchers, books)
   WHERE l.country = of_country OR of_country NOT IN ('AT', 'CH', 'DE', 'ES', 'FR', 'GB', 'IT', 'NL', 'US') $$;

-- What is as old as that or younger must not go at a moment, whatever was decided.
CREATE FUNCTION app.kept_since(of_kind text, at timestamptz) RETURNS timestamptz LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
  SELECT CASE WHEN of_kind = 'webhooks' THEN at - interval '168 hours'
              WHEN of_kind IN ('invitations', 'imports') THEN at - interval '720 hours'
              ELSE (date_trunc('year', at AT TIME ZONE o.time_zone) - make_interval(years => app.least_years_kept(of_kind, o.country))) AT TIME ZONE o.time_zone END
    FROM public.operator o WHERE o.tenant_id = app.current_tenant() $$;
GRANT EXECUTE ON FUNCTION app.kept_since(text, timestamptz) TO latchledger_app;

-- Removes at most so many records of a kind that are older than a moment, the oldest first, and writes that into the run of the day at
-- the place of the operator: a day is done once. Gives how many, and whether the day is done. Refused while a hold stands, at a doubtful
-- present (`at`), and for what no operator may remove yet.
CREATE FUNCTION app.remove_expired(of_kind text, before timestamptz, at_most integer, at timestamptz, OUT removed integer, OUT is_over boolean)
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  today   CONSTANT date := (SELECT (at AT TIME ZONE o.time_zone)::date FROM public.operator o WHERE o.tenant_id = app.current_tenant());
  target  record;
  changed integer;
BEGIN
  PERFORM app.refuse_doubtful_clock(at);
  -- So written, null is too early, too.
  IF (before <= app.kept_since(of_kind, at)) IS NOT TRUE THEN
    RAISE EXCEPTION '% are kept for longer', of_kind USING ERRCODE = 'check_violation', SCHEMA = 'public', TABLE = 'retention_run', CONSTRAINT = 'retention_run_not_too_early';
  END IF;
  -- Of earlier days only those stay that removed something. Two at once of a kind wait for each other at the row of the day.
  DELETE FROM public.retention_run r WHERE r.tenant_id = app.current_tenant() AND r.kind = of_kind AND r.local_date < today AND r.removed = 0;
  INSERT INTO public.retention_run (tenant_id, kind, local_date, before, began_at) VALUES (app.current_tenant(), of_kind, today, before, at) ON CONFLICT DO NOTHING;
  SELECT r.ended_at IS NOT NULL INTO is_over FROM public.retention_run r WHERE r.tenant_id = app.current_tenant() AND r.kind = of_kind AND r.local_date = today FOR UPDATE;
  removed := 0;
  IF is_over THEN
    RETURN;
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
  is_over := removed < at_most;
  UPDATE public.retention_run r SET removed = r.removed + remove_expired.removed, ended_at = CASE WHEN is_over THEN at END
   WHERE r.tenant_id = app.current_tenant() AND r.kind = of_kind AND r.local_date = today;
  PERFORM app.refuse_while_held();
END $$;
GRANT EXECUTE ON FUNCTION app.remove_expired(text, timestamptz, integer, timestamptz) TO latchledger_app;

-- A hold keeps who somebody was, too, whichever way it is erased: asked at the end of the transaction, for the same reason.
CREATE FUNCTION app.refuse_erasing_while_held() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  PERFORM app.refuse_while_held();
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER refuse_while_held AFTER INSERT ON text_erasure DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION app.refuse_erasing_while_held();
CREATE CONSTRAINT TRIGGER refuse_while_held AFTER UPDATE OF erased_at ON person DEFERRABLE INITIALLY DEFERRED
  FOR EACH ROW WHEN (NEW.erased_at IS NOT NULL) EXECUTE FUNCTION app.refuse_erasing_while_held();
ALTER TABLE text_erasure ENABLE ALWAYS TRIGGER refuse_while_held;
ALTER TABLE person ENABLE ALWAYS TRIGGER refuse_while_held;

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
