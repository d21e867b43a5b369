-- Mails about certificates that end, about the accounts of payees and about their addresses go as the others do when their time is over:
-- the last two hold addresses of people.
CREATE OR REPLACE FUNCTION app.removable(of_kind text) RETURNS TABLE (place integer, table_name text, since text, line text, within text, change text)
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
    -- Warnings go out in the last month of a certificate, which is long over by then: none goes out twice.
    ('mails', 5, 'public.certificate_end_mail', $s$CASE WHEN t.state <> 'waiting' THEN t.changed_at END$s$, NULL, NULL, NULL),
    -- The announcement counts them, too.
    ('mails', 6, 'public.bank_detail_payee_mail', $s$CASE WHEN EXISTS (SELECT FROM public.bank_detail_notice n
       WHERE n.tenant_id = t.tenant_id AND n.bank_detail_id = t.bank_detail_id AND n.about = t.about) THEN t.changed_at END$s$, NULL, NULL, NULL),
    -- The address before goes with it: so long after, nobody is told there of an account any more.
    ('mails', 7, 'public.party_address_change', $s$CASE WHEN t.state <> 'waiting' THEN t.changed_at END$s$, NULL, NULL, NULL),

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

-- The trail would keep what goes. It has never had the other two.
DROP TRIGGER audit_row ON certificate_end_mail;
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON certificate_end_mail FOR EACH ROW WHEN (NOT app.is_removing()) EXECUTE FUNCTION app.audit_row('{certificate_id,days_before,account_id}', '{}');
