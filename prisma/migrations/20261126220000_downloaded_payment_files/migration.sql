-- The file of a run leaves the house when it is first downloaded: whoever has it can give it to the bank. That is on record, so
-- that nobody who had it alone gives the run up and pays the same by another one. A bank that refuses a file it was given ends
-- the run, too.
ALTER TABLE payment_run ADD COLUMN downloaded_at timestamptz, ADD COLUMN downloaded_by text;

-- When a file that is made already was downloaded is not known; it may be out since it was made.
ALTER TABLE payment_run DISABLE TRIGGER payment_run_guard;
CALL app.for_each_tenant($$
  UPDATE payment_run SET downloaded_at = file_made_at, downloaded_by = file_made_by
   WHERE tenant_id = app.current_tenant() AND state IN ('file-made', 'sent', 'paid')$$);
ALTER TABLE payment_run ENABLE TRIGGER payment_run_guard;

ALTER TABLE payment_run
  ADD CONSTRAINT payment_run_downloaded_whole CHECK (num_nonnulls(downloaded_at, downloaded_by) IN (0, 2)),
  DROP CONSTRAINT payment_run_is_what_happened,
  ADD CONSTRAINT payment_run_is_what_happened CHECK (CASE state
    WHEN 'draft' THEN num_nonnulls(file_made_at, downloaded_at, sent_at, recorded_at, cancelled_at) = 0
    WHEN 'file-made' THEN file_made_at IS NOT NULL AND num_nonnulls(sent_at, recorded_at, cancelled_at) = 0
    WHEN 'sent' THEN num_nonnulls(file_made_at, downloaded_at, sent_at) = 3 AND num_nonnulls(recorded_at, cancelled_at) = 0
    WHEN 'paid' THEN num_nonnulls(file_made_at, downloaded_at, sent_at, recorded_at) = 4 AND cancelled_at IS NULL
    ELSE cancelled_at IS NOT NULL AND recorded_at IS NULL AND (downloaded_at IS NULL OR file_made_at IS NOT NULL) AND (sent_at IS NULL OR downloaded_at IS NOT NULL) END);

CREATE OR REPLACE FUNCTION app.guard_payment_run() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  first_download boolean := OLD.state = 'file-made' AND NEW.state = 'file-made' AND OLD.downloaded_at IS NULL AND NEW.downloaded_at IS NOT NULL;
BEGIN
  IF app.is_erasing() THEN
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

GRANT UPDATE (downloaded_at, downloaded_by) ON payment_run TO latchledger_app;
GRANT SELECT (downloaded_at, downloaded_by) ON payment_run TO latchledger_reader;

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run'));
