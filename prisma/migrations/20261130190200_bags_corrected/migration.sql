-- The number of a bag, its seal, or a seal that was found on it, read wrong: the first stays as it was entered, and the latest
-- correction stands.
CREATE TABLE collection_bag_correction (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  bag_id      uuid NOT NULL,
  what        text NOT NULL CHECK (what IN ('filled', 'received', 'opened')),
  -- Printed on the bag; of what was found on it later only the seal is said.
  number      text CHECK (number <> ''),
  seal        text NOT NULL CHECK (seal <> ''),
  reason      text NOT NULL CHECK (reason <> ''),
  recorded_at timestamptz NOT NULL,
  recorded_by text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT collection_bag_correction_bag FOREIGN KEY (tenant_id, bag_id) REFERENCES collection_bag (tenant_id, id),
  CONSTRAINT collection_bag_correction_names_the_bag CHECK ((what = 'filled') = (number IS NOT NULL))
);
CREATE INDEX collection_bag_correction_by_bag ON collection_bag_correction (tenant_id, bag_id, what, recorded_at, id);
CREATE INDEX collection_bag_correction_by_seal ON collection_bag_correction (tenant_id, seal) WHERE what = 'filled';
CALL app.make_tenant_table('collection_bag_correction', append_only => true, audited => true);
CALL app.make_texts_erasable('collection_bag_correction', '{reason}');

-- A seal serves once, as it is known now: a seal that was entered by mistake is free for the bag that has it.
CREATE OR REPLACE FUNCTION app.guard_bag_seal() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  own uuid := CASE TG_TABLE_NAME WHEN 'collection_bag' THEN to_jsonb(NEW) ->> 'id' ELSE to_jsonb(NEW) ->> 'bag_id' END;
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(NEW.seal, hashtextextended(NEW.tenant_id::text, 0)));
  IF EXISTS (
    SELECT FROM (SELECT b.id, b.collection_id, b.seal FROM collection_bag b WHERE b.tenant_id = NEW.tenant_id AND b.seal = NEW.seal
           UNION SELECT b.id, b.collection_id, b.seal FROM collection_bag_correction k JOIN collection_bag b ON b.tenant_id = k.tenant_id AND b.id = k.bag_id
                  WHERE k.tenant_id = NEW.tenant_id AND k.seal = NEW.seal AND k.what = 'filled') named
      JOIN collection c ON c.tenant_id = NEW.tenant_id AND c.id = named.collection_id AND c.state <> 'discarded'
     WHERE named.id <> own
       AND NEW.seal = coalesce((SELECT k.seal FROM collection_bag_correction k WHERE k.tenant_id = NEW.tenant_id AND k.bag_id = named.id AND k.what = 'filled'
                                 ORDER BY k.recorded_at DESC, k.id DESC LIMIT 1), named.seal)) THEN
    RAISE EXCEPTION 'seal % closed another bag', NEW.seal USING ERRCODE = 'unique_violation', CONSTRAINT = 'collection_bag_seal_once';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER collection_bag_seal_once AFTER INSERT ON collection_bag_correction FOR EACH ROW WHEN (NEW.what = 'filled') EXECUTE FUNCTION app.guard_bag_seal();

ALTER TABLE relaxed_record
  DROP CONSTRAINT relaxed_record_kind_check,
  ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
    ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag',
     'bank-detail', 'collection-discard', 'bag-step', 'device-release', 'visit-discard', 'payment-run', 'visit-seen',
     'certificate-revocation', 'metered-amount', 'outage', 'meter-price', 'cash-hand-in', 'field-count', 'bag'));
