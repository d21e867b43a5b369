-- What a site says that it gave back to players out of its own till. It is a proposal: it counts once a collection has taken it
-- over as a refund slip, and lies open until then, or until the office refuses it or the site takes it back.
CREATE TABLE refund_claim (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  site_id         uuid NOT NULL,
  placement_id    uuid NOT NULL,
  machine_id      uuid NOT NULL,
  -- Of the paper slip; null where the site's slips have none.
  number          text CHECK (number <> ''),
  refunded_on     date NOT NULL,
  currency        text NOT NULL,
  amount_minor    bigint NOT NULL CHECK (amount_minor > 0),
  reason          text NOT NULL CHECK (reason <> ''),
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  -- The slip as which a collection took it over. Several are one slip where a file has their sum.
  refund_slip_id  uuid,
  refused_at      timestamptz,
  refused_by      text,
  refused_because text,
  withdrawn_at    timestamptz,
  withdrawn_by    text,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT refund_claim_site FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  CONSTRAINT refund_claim_placement FOREIGN KEY (tenant_id, placement_id, machine_id, site_id) REFERENCES placement (tenant_id, id, machine_id, site_id),
  CONSTRAINT refund_claim_slip FOREIGN KEY (tenant_id, refund_slip_id) REFERENCES refund_slip (tenant_id, id),
  -- One way out of being open, and each told whole.
  CONSTRAINT refund_claim_one_end CHECK (num_nonnulls(refund_slip_id, refused_at, withdrawn_at) <= 1),
  CONSTRAINT refund_claim_refused_whole CHECK (num_nonnulls(refused_at, refused_by, refused_because) IN (0, 3)),
  CONSTRAINT refund_claim_withdrawn_whole CHECK (num_nonnulls(withdrawn_at, withdrawn_by) IN (0, 2))
);
CREATE INDEX refund_claim_by_day ON refund_claim (tenant_id, refunded_on, id);
CREATE INDEX refund_claim_open ON refund_claim (tenant_id, site_id) WHERE refund_slip_id IS NULL AND refused_at IS NULL AND withdrawn_at IS NULL;
CREATE INDEX refund_claim_by_slip ON refund_claim (tenant_id, refund_slip_id) WHERE refund_slip_id IS NOT NULL;
-- One paper slip, one claim. One that was refused or taken back may be entered anew.
CREATE UNIQUE INDEX refund_claim_number_once ON refund_claim (tenant_id, site_id, number) WHERE refused_at IS NULL AND withdrawn_at IS NULL;
CALL app.make_tenant_table('refund_claim', append_only => false, audited => true);
CALL app.make_texts_erasable('refund_claim', '{reason,refused_because}');
REVOKE UPDATE, DELETE ON refund_claim FROM latchledger_app;
GRANT UPDATE (refund_slip_id, refused_at, refused_by, refused_because, withdrawn_at, withdrawn_by) ON refund_claim TO latchledger_app;

-- What was refused or taken back stays so. A claim is open again only where the collection that took it over was discarded.
CREATE FUNCTION app.guard_refund_claim() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF OLD.refund_slip_id IS NOT NULL AND (NEW.refused_at, NEW.withdrawn_at) IS NOT DISTINCT FROM (OLD.refused_at, OLD.withdrawn_at) AND NEW.refund_slip_id IS NULL AND EXISTS (
    SELECT FROM refund_slip r JOIN collection c ON c.tenant_id = r.tenant_id AND c.id = r.collection_id
     WHERE r.tenant_id = OLD.tenant_id AND r.id = OLD.refund_slip_id AND c.state = 'discarded') THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION 'refund claim % is not open', OLD.id USING ERRCODE = 'restrict_violation', CONSTRAINT = 'refund_claim_goes_forward';
END $$;
CREATE TRIGGER refund_claim_goes_forward BEFORE UPDATE ON refund_claim
  FOR EACH ROW WHEN (num_nonnulls(OLD.refund_slip_id, OLD.refused_at, OLD.withdrawn_at) > 0 AND NOT app.is_erasing()) EXECUTE FUNCTION app.guard_refund_claim();
