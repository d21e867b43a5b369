-- What is given up of an item, and taken up again: amount_minor is of the item's sign. A write-off that was undone stands
-- no more; its undoing has a date of its own, so that a past day says what held then.
CREATE TABLE write_off (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  open_item_id    uuid NOT NULL,
  agreement_id    uuid NOT NULL,
  party_id        uuid NOT NULL,
  currency        text NOT NULL,
  amount_minor    bigint NOT NULL CHECK (amount_minor <> 0),
  accounting_date date NOT NULL,
  reason          text NOT NULL CHECK (reason <> ''),
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT write_off_of_item FOREIGN KEY (tenant_id, open_item_id, agreement_id, party_id, currency) REFERENCES open_item (tenant_id, id, agreement_id, party_id, currency)
);
CREATE INDEX write_off_by_item ON write_off (tenant_id, open_item_id);

CREATE TABLE write_off_undo (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  write_off_id    uuid NOT NULL,
  accounting_date date NOT NULL,
  reason          text NOT NULL CHECK (reason <> ''),
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT write_off_undone_once UNIQUE (tenant_id, write_off_id),
  FOREIGN KEY (tenant_id, write_off_id) REFERENCES write_off (tenant_id, id)
);

-- The first of these items that payments and write-offs together settle beyond its amount.
CREATE FUNCTION app.exceeded_item(tenant uuid, items uuid[]) RETURNS uuid LANGUAGE plpgsql STABLE SET search_path = public, pg_temp AS $$
DECLARE
  wrong uuid;
BEGIN
  EXECUTE $query$
    SELECT i.id FROM open_item i
     CROSS JOIN LATERAL (
       SELECT (SELECT coalesce(sum(m.amount_minor), 0) FROM payment_match m WHERE m.tenant_id = i.tenant_id AND m.open_item_id = i.id)
            + (SELECT coalesce(sum(w.amount_minor), 0) FROM write_off w
                WHERE w.tenant_id = i.tenant_id AND w.open_item_id = i.id
                  AND NOT EXISTS (SELECT FROM write_off_undo u WHERE u.tenant_id = w.tenant_id AND u.write_off_id = w.id)) AS minor) settled
     WHERE i.tenant_id = $1 AND i.id = ANY ($2)
       AND settled.minor NOT BETWEEN least(0, i.amount_minor) AND greatest(0, i.amount_minor) LIMIT 1 $query$ INTO wrong USING tenant, items;
  RETURN wrong;
END $$;
GRANT EXECUTE ON FUNCTION app.exceeded_item(uuid, uuid[]) TO latchledger_app;

CREATE FUNCTION app.guard_write_off() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM FROM agreement a WHERE a.tenant_id = NEW.tenant_id AND a.id = NEW.agreement_id FOR NO KEY UPDATE;
  IF app.exceeded_item(NEW.tenant_id, ARRAY[NEW.open_item_id]) IS NOT NULL THEN
    RAISE EXCEPTION 'open item % would be settled beyond its amount', NEW.open_item_id USING ERRCODE = 'check_violation', CONSTRAINT = 'open_item_not_exceeded';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER write_off_guard AFTER INSERT ON write_off FOR EACH ROW EXECUTE FUNCTION app.guard_write_off();

-- A settlement that is reversed owes nothing: what was written off of it would have been given up for nothing.
CREATE FUNCTION app.refuse_reversal_of_written_off() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF EXISTS (SELECT FROM open_item i JOIN write_off w ON w.tenant_id = i.tenant_id AND w.open_item_id = i.id
              WHERE i.tenant_id = NEW.tenant_id AND i.settlement_id = NEW.settlement_id
                AND NOT EXISTS (SELECT FROM write_off_undo u WHERE u.tenant_id = w.tenant_id AND u.write_off_id = w.id)) THEN
    RAISE EXCEPTION 'settlement % has an item that is written off', NEW.settlement_id
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'settlement_reversal_without_write_off';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER settlement_reversal_without_write_off BEFORE INSERT ON settlement_reversal FOR EACH ROW EXECUTE FUNCTION app.refuse_reversal_of_written_off();

-- Money between the operator and a tax authority for a filing month: above zero paid to it, below zero refunded by it.
CREATE TABLE tax_payment (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  tax_area_id     uuid NOT NULL,
  month           date NOT NULL CHECK (extract(day FROM month) = 1),
  currency        text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
  amount_minor    bigint NOT NULL CHECK (amount_minor <> 0),
  method          text NOT NULL CHECK (method IN ('bank', 'cash', 'other')),
  reference       text NOT NULL DEFAULT '',
  paid_on         date NOT NULL,
  accounting_date date NOT NULL,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, tax_area_id) REFERENCES tax_area (tenant_id, id),
  CONSTRAINT tax_payment_booked_later CHECK (accounting_date >= paid_on)
);
CREATE INDEX tax_payment_by_month ON tax_payment (tenant_id, tax_area_id, month);

-- Money that came back, or a payment that was entered by mistake.
CREATE TABLE tax_payment_return (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  tax_payment_id  uuid NOT NULL,
  returned_on     date NOT NULL,
  accounting_date date NOT NULL,
  reason          text NOT NULL CHECK (reason <> ''),
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT tax_payment_returned_once UNIQUE (tenant_id, tax_payment_id),
  FOREIGN KEY (tenant_id, tax_payment_id) REFERENCES tax_payment (tenant_id, id)
);

CALL app.make_tenant_table('write_off', append_only => true, audited => true);
CALL app.make_tenant_table('write_off_undo', append_only => true, audited => true);
CALL app.make_tenant_table('tax_payment', append_only => true, audited => false);
CALL app.make_tenant_table('tax_payment_return', append_only => true, audited => false);
