-- What follows an issued settlement: what is owed by it and what has been paid.
--
-- Amounts are signed where both sides may owe: above zero the operator owes the payee, below zero the payee owes.
-- Everything here is append-only: what no longer holds is met by a row that says so.

------------------------------------------------------------------------------------------------------------------------
-- Open items
------------------------------------------------------------------------------------------------------------------------
-- What one settlement leaves to be paid to, or by, one payee. What was carried instead is none: the next settlement has it.
-- dated_on is the day on which the books have it, from which it ages.
CREATE TABLE open_item (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  settlement_id uuid NOT NULL,
  agreement_id  uuid NOT NULL,
  site_id       uuid NOT NULL,
  party_id      uuid NOT NULL,
  currency      text NOT NULL,
  amount_minor  bigint NOT NULL CHECK (amount_minor <> 0),
  dated_on      date NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT open_item_once UNIQUE (tenant_id, settlement_id, party_id),
  UNIQUE (tenant_id, id, agreement_id, party_id, currency),
  FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id),
  FOREIGN KEY (tenant_id, agreement_id, site_id) REFERENCES agreement (tenant_id, id, site_id),
  FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id)
);
CREATE INDEX open_item_by_account ON open_item (tenant_id, agreement_id, party_id, dated_on);
CREATE INDEX open_item_by_date ON open_item (tenant_id, dated_on, id);

-- Held as disputed, and released: the last of an item's events says which it is now.
CREATE TABLE open_item_event (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  open_item_id uuid NOT NULL,
  position     integer NOT NULL CHECK (position >= 1),
  kind         text NOT NULL CHECK (kind IN ('held', 'released')),
  note         text NOT NULL CHECK (note <> ''),
  happened_at  timestamptz NOT NULL,
  happened_by  text NOT NULL,
  PRIMARY KEY (tenant_id, open_item_id, position),
  FOREIGN KEY (tenant_id, open_item_id) REFERENCES open_item (tenant_id, id)
);

------------------------------------------------------------------------------------------------------------------------
-- Payments
------------------------------------------------------------------------------------------------------------------------
-- amount_minor is what the payment settles, paid_minor what changed hands: they differ where the smallest coin is larger
-- than the minor unit. A payment on account settles no item: the next settlement sets it off as cash handed over.
-- paid_on is the day on which it happened, accounting_date the one under which the books have it.
CREATE TABLE payment (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  kind            text NOT NULL CHECK (kind IN ('settling', 'on-account')),
  agreement_id    uuid NOT NULL,
  site_id         uuid NOT NULL,
  party_id        uuid NOT NULL,
  currency        text NOT NULL,
  amount_minor    bigint NOT NULL CHECK (amount_minor <> 0),
  paid_minor      bigint NOT NULL,
  method          text NOT NULL CHECK (method IN ('bank', 'cash', 'other')),
  reference       text NOT NULL DEFAULT '',
  paid_on         date NOT NULL,
  accounting_date date NOT NULL,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, id, agreement_id, party_id, currency),
  FOREIGN KEY (tenant_id, agreement_id, site_id) REFERENCES agreement (tenant_id, id, site_id),
  FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id),
  CONSTRAINT payment_signs CHECK (sign(amount_minor) = sign(paid_minor)),
  CONSTRAINT payment_rounded_in_cash CHECK (amount_minor = paid_minor OR (method = 'cash' AND kind = 'settling')),
  CONSTRAINT payment_on_account_to_payee CHECK (kind = 'settling' OR amount_minor > 0)
);
CREATE INDEX payment_by_account ON payment (tenant_id, agreement_id, party_id, paid_on);
CREATE INDEX payment_by_date ON payment (tenant_id, paid_on, id);

-- Which part of a payment settles which item. A row of the opposite sign takes one back: unmatched by the office, or
-- because the payment was returned. The keys tie both to one agreement, one payee, one currency.
CREATE TABLE payment_match (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  kind            text NOT NULL CHECK (kind IN ('matched', 'unmatched', 'returned')),
  payment_id      uuid NOT NULL,
  open_item_id    uuid NOT NULL,
  agreement_id    uuid NOT NULL,
  party_id        uuid NOT NULL,
  currency        text NOT NULL,
  amount_minor    bigint NOT NULL CHECK (amount_minor <> 0),
  accounting_date date NOT NULL,
  note            text,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT payment_match_of_payment FOREIGN KEY (tenant_id, payment_id, agreement_id, party_id, currency) REFERENCES payment (tenant_id, id, agreement_id, party_id, currency),
  CONSTRAINT payment_match_of_item FOREIGN KEY (tenant_id, open_item_id, agreement_id, party_id, currency) REFERENCES open_item (tenant_id, id, agreement_id, party_id, currency)
);
CREATE INDEX payment_match_by_payment ON payment_match (tenant_id, payment_id);
CREATE INDEX payment_match_by_item ON payment_match (tenant_id, open_item_id);

-- Money that came back: a transfer that the bank returned, a cheque that was not honoured.
CREATE TABLE payment_return (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  payment_id      uuid NOT NULL,
  returned_on     date NOT NULL,
  accounting_date date NOT NULL,
  reason          text NOT NULL CHECK (reason <> ''),
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT payment_returned_once UNIQUE (tenant_id, payment_id),
  FOREIGN KEY (tenant_id, payment_id) REFERENCES payment (tenant_id, id)
);

-- Which settlement took a payment on account into its figures. `round` counts: one that was reversed took it in vain.
CREATE TABLE payment_set_off (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  payment_id    uuid NOT NULL,
  round         integer NOT NULL CHECK (round >= 1),
  settlement_id uuid NOT NULL,
  PRIMARY KEY (tenant_id, payment_id, round),
  FOREIGN KEY (tenant_id, payment_id) REFERENCES payment (tenant_id, id),
  FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id)
);
CREATE INDEX payment_set_off_by_settlement ON payment_set_off (tenant_id, settlement_id);

------------------------------------------------------------------------------------------------------------------------
-- Reversals
------------------------------------------------------------------------------------------------------------------------
-- A settlement with a row here stands no more: it keeps its number, its statement and its place in the evidence log, and
-- its inputs are free again. There is no reversal of a reversal: the period is settled anew.
CREATE TABLE settlement_reversal (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  settlement_id   uuid NOT NULL,
  accounting_date date NOT NULL,
  reason          text NOT NULL CHECK (reason <> ''),
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT settlement_reversed_once UNIQUE (tenant_id, settlement_id),
  FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id)
);

------------------------------------------------------------------------------------------------------------------------
-- What no writer may break
------------------------------------------------------------------------------------------------------------------------
-- No item is settled beyond its amount and no payment matched beyond its own, whoever writes. The accounts' locks come
-- first, so that two writers at once see each other's matches.
CREATE FUNCTION app.guard_payment_match() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  wrong uuid;
BEGIN
  PERFORM FROM agreement a WHERE (a.tenant_id, a.id) IN (SELECT tenant_id, agreement_id FROM written) ORDER BY a.id FOR NO KEY UPDATE;
  EXECUTE $query$
    SELECT i.id FROM open_item i JOIN payment_match m ON m.tenant_id = i.tenant_id AND m.open_item_id = i.id
     WHERE (i.tenant_id, i.id) IN (SELECT tenant_id, open_item_id FROM written)
     GROUP BY i.tenant_id, i.id, i.amount_minor
    HAVING sum(m.amount_minor) NOT BETWEEN least(0, i.amount_minor) AND greatest(0, i.amount_minor) LIMIT 1 $query$ INTO wrong;
  IF wrong IS NOT NULL THEN
    RAISE EXCEPTION 'open item % would be settled beyond its amount', wrong USING ERRCODE = 'check_violation', CONSTRAINT = 'open_item_not_exceeded';
  END IF;
  EXECUTE $query$
    SELECT p.id FROM payment p JOIN payment_match m ON m.tenant_id = p.tenant_id AND m.payment_id = p.id
     WHERE (p.tenant_id, p.id) IN (SELECT tenant_id, payment_id FROM written)
     GROUP BY p.tenant_id, p.id, p.amount_minor, p.kind
    HAVING sum(m.amount_minor) NOT BETWEEN least(0, p.amount_minor) AND greatest(0, p.amount_minor) OR p.kind <> 'settling' LIMIT 1 $query$ INTO wrong;
  IF wrong IS NOT NULL THEN
    RAISE EXCEPTION 'payment % would be matched beyond its amount', wrong USING ERRCODE = 'check_violation', CONSTRAINT = 'payment_not_exceeded';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER payment_match_guard AFTER INSERT ON payment_match
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.guard_payment_match();

CALL app.make_tenant_table('open_item', append_only => true, audited => false);
CALL app.make_tenant_table('open_item_event', append_only => true, audited => false);
CALL app.make_tenant_table('payment', append_only => true, audited => false);
CALL app.make_tenant_table('payment_match', append_only => true, audited => false);
CALL app.make_tenant_table('payment_return', append_only => true, audited => false);
CALL app.make_tenant_table('payment_set_off', append_only => true, audited => false);
CALL app.make_tenant_table('settlement_reversal', append_only => true, audited => false);

-- Settlements that were numbered before there were items.
CALL app.for_each_tenant($statement$
  INSERT INTO open_item (tenant_id, id, settlement_id, agreement_id, site_id, party_id, currency, amount_minor, dated_on)
  SELECT s.tenant_id, uuidv7(), s.id, s.agreement_id, s.site_id, (payable ->> 'party')::uuid, s.currency, (payable ->> 'amountMinor')::bigint, s.ends_before - 1
    FROM settlement s CROSS JOIN LATERAL jsonb_array_elements(s.result::jsonb -> 'payables') AS payable
   WHERE s.tenant_id = app.current_tenant() AND s.state IN ('numbered', 'issued') AND payable ->> 'outcome' IN ('due', 'owed')
$statement$);
