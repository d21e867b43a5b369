-- Facts that settlements are computed from beside counted cash: card takings, break-ins, tokens and coin that is no
-- takings, what the meters imply; corrections of slips and of cash handed over; settlements per visit.

------------------------------------------------------------------------------------------------------------------------
-- Card takings and break-ins
------------------------------------------------------------------------------------------------------------------------
-- What a machine's card reader reported: for one local day, or for one collection where the terms say so. The keys tie it
-- to a placement of that machine at the site, in the site's currency; a report by collection to a collection of the site.
-- A correction is a new row in the place of the old one, for the same machine and day.
CREATE TABLE cashless_taking (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  site_id         uuid NOT NULL,
  placement_id    uuid NOT NULL,
  machine_id      uuid NOT NULL,
  collection_id   uuid,
  local_date      date NOT NULL,
  accounting_date date NOT NULL,
  currency        text NOT NULL,
  gross_minor     bigint NOT NULL CHECK (gross_minor >= 0),
  refunded_minor  bigint NOT NULL CHECK (refunded_minor >= 0),
  replaces_id     uuid,
  reason          text,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT cashless_taking_same_day UNIQUE (tenant_id, id, placement_id, local_date, accounting_date),
  FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  CONSTRAINT cashless_taking_placement_fkey FOREIGN KEY (tenant_id, placement_id, machine_id, site_id)
    REFERENCES placement (tenant_id, id, machine_id, site_id),
  CONSTRAINT cashless_taking_collection_fkey FOREIGN KEY (tenant_id, collection_id, site_id, currency)
    REFERENCES collection (tenant_id, id, site_id, currency),
  CONSTRAINT cashless_taking_replaces_fkey FOREIGN KEY (tenant_id, replaces_id, placement_id, local_date, accounting_date)
    REFERENCES cashless_taking (tenant_id, id, placement_id, local_date, accounting_date),
  CONSTRAINT cashless_taking_replaced_with_reason CHECK (replaces_id IS NULL OR reason <> ''),
  CONSTRAINT cashless_taking_booked_to_its_day CHECK (collection_id IS NOT NULL OR accounting_date = local_date)
);
CREATE UNIQUE INDEX cashless_taking_day_once ON cashless_taking (tenant_id, placement_id, local_date)
  WHERE replaces_id IS NULL AND collection_id IS NULL;
CREATE UNIQUE INDEX cashless_taking_collection_once ON cashless_taking (tenant_id, collection_id, placement_id)
  WHERE replaces_id IS NULL AND collection_id IS NOT NULL;
CREATE UNIQUE INDEX cashless_taking_replaced_once ON cashless_taking (tenant_id, replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX cashless_taking_by_site_date ON cashless_taking (tenant_id, site_id, accounting_date);
CREATE INDEX cashless_taking_by_time ON cashless_taking (tenant_id, local_date, id);

-- Cash that was stolen out of a box, as the meters imply it.
CREATE TABLE break_in (
  tenant_id         uuid NOT NULL REFERENCES operator (tenant_id),
  id                uuid NOT NULL,
  site_id           uuid NOT NULL,
  placement_id      uuid NOT NULL,
  machine_id        uuid NOT NULL,
  happened_on       date NOT NULL,
  accounting_date   date NOT NULL,
  accounting_reason text,
  currency          text NOT NULL,
  amount_minor      bigint NOT NULL CHECK (amount_minor >= 0),
  note              text NOT NULL CHECK (note <> ''),
  replaces_id       uuid,
  reason            text,
  recorded_at       timestamptz NOT NULL,
  recorded_by       text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT break_in_same_day UNIQUE (tenant_id, id, placement_id, happened_on, accounting_date),
  FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  CONSTRAINT break_in_placement_fkey FOREIGN KEY (tenant_id, placement_id, machine_id, site_id)
    REFERENCES placement (tenant_id, id, machine_id, site_id),
  CONSTRAINT break_in_replaces_fkey FOREIGN KEY (tenant_id, replaces_id, placement_id, happened_on, accounting_date)
    REFERENCES break_in (tenant_id, id, placement_id, happened_on, accounting_date),
  CONSTRAINT break_in_replaced_with_reason CHECK (replaces_id IS NULL OR reason <> ''),
  CONSTRAINT break_in_moved_with_reason CHECK (accounting_date = happened_on OR accounting_reason <> ''),
  -- Corrected to nothing it did not happen; recorded, it took something.
  CONSTRAINT break_in_took_something CHECK (amount_minor > 0 OR replaces_id IS NOT NULL)
);
CREATE UNIQUE INDEX break_in_day_once ON break_in (tenant_id, placement_id, happened_on) WHERE replaces_id IS NULL;
CREATE UNIQUE INDEX break_in_replaced_once ON break_in (tenant_id, replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX break_in_by_site_date ON break_in (tenant_id, site_id, accounting_date);
CREATE INDEX break_in_by_time ON break_in (tenant_id, happened_on, id);

ALTER TABLE late_change DROP CONSTRAINT late_change_cause_check;
ALTER TABLE late_change ADD CONSTRAINT late_change_cause_check
  CHECK (cause IN ('collection', 'correction', 'handed', 'cashless', 'break-in', 'terms', 'tax', 'end'));

------------------------------------------------------------------------------------------------------------------------
-- What lies in a box beside takings, and what the meters imply
------------------------------------------------------------------------------------------------------------------------
-- tokens: pieces by id, {"red": 12}. House coin is the site's own marked coin, bad coin what no bank takes; both at the
-- value at which the machine took them.
ALTER TABLE box_count
  ADD COLUMN metered_minor    bigint CHECK (metered_minor >= 0),
  ADD COLUMN house_coin_minor bigint NOT NULL DEFAULT 0 CHECK (house_coin_minor >= 0),
  ADD COLUMN bad_coin_minor   bigint NOT NULL DEFAULT 0 CHECK (bad_coin_minor >= 0),
  ADD COLUMN tokens           jsonb  NOT NULL DEFAULT '{}',
  ADD CONSTRAINT box_count_tokens_are_pieces CHECK (
    jsonb_typeof(tokens) = 'object'
    AND NOT jsonb_path_exists(tokens, 'strict $.keyvalue().value ? (@.type() != "number" || @ < 1 || @ > 1000000 || @ != @.floor())'));
ALTER TABLE import_row
  ADD COLUMN metered_minor    bigint,
  ADD COLUMN house_coin_minor bigint NOT NULL DEFAULT 0,
  ADD COLUMN bad_coin_minor   bigint NOT NULL DEFAULT 0,
  ADD COLUMN tokens           jsonb  NOT NULL DEFAULT '{}';

------------------------------------------------------------------------------------------------------------------------
-- Corrections of slips and of cash handed over
------------------------------------------------------------------------------------------------------------------------
-- The keys tie a correction to a slip of the same machine, and to a hand-out to the same party, at the same collection.
ALTER TABLE refund_slip
  ADD COLUMN replaces_id uuid,
  ADD COLUMN reason      text,
  ADD CONSTRAINT refund_slip_same_machine UNIQUE (tenant_id, id, collection_id, placement_id),
  ADD CONSTRAINT refund_slip_replaces_fkey FOREIGN KEY (tenant_id, replaces_id, collection_id, placement_id)
    REFERENCES refund_slip (tenant_id, id, collection_id, placement_id),
  ADD CONSTRAINT refund_slip_replaced_with_reason CHECK (replaces_id IS NULL OR reason <> ''),
  DROP CONSTRAINT refund_slip_amount_minor_check,
  ADD CONSTRAINT refund_slip_amount_minor_check CHECK (amount_minor > 0 OR (amount_minor = 0 AND replaces_id IS NOT NULL));
CREATE UNIQUE INDEX refund_slip_replaced_once ON refund_slip (tenant_id, replaces_id) WHERE replaces_id IS NOT NULL;
ALTER TABLE cash_handed
  ADD COLUMN replaces_id uuid,
  ADD COLUMN reason      text,
  ADD CONSTRAINT cash_handed_same_party UNIQUE (tenant_id, id, collection_id, party_id),
  ADD CONSTRAINT cash_handed_replaces_fkey FOREIGN KEY (tenant_id, replaces_id, collection_id, party_id)
    REFERENCES cash_handed (tenant_id, id, collection_id, party_id),
  ADD CONSTRAINT cash_handed_replaced_with_reason CHECK (replaces_id IS NULL OR reason <> ''),
  DROP CONSTRAINT cash_handed_amount_minor_check,
  ADD CONSTRAINT cash_handed_amount_minor_check CHECK (amount_minor > 0 OR (amount_minor = 0 AND replaces_id IS NOT NULL));
CREATE UNIQUE INDEX cash_handed_replaced_once ON cash_handed (tenant_id, replaces_id) WHERE replaces_id IS NOT NULL;
-- Both take corrections after acceptance, as counts do.
CREATE OR REPLACE FUNCTION app.guard_collection_entries() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_accepted boolean;
BEGIN
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN collection c ON c.tenant_id = written.tenant_id AND c.id = written.collection_id
                    WHERE c.state = 'accepted' AND written.replaces_id IS NULL) $query$ INTO is_accepted;
  IF is_accepted THEN
    RAISE EXCEPTION 'the collection is accepted and takes no more entries, only corrections'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_is_accepted';
  END IF;
  RETURN NULL;
END $$;

------------------------------------------------------------------------------------------------------------------------
-- Settlements per visit: the visits of one day are closed together, each site's by itself
------------------------------------------------------------------------------------------------------------------------
ALTER TABLE close_run DROP CONSTRAINT close_run_cycle_check;
ALTER TABLE close_run ADD CONSTRAINT close_run_cycle_check CHECK (cycle IN ('month', 'four-weeks', 'week', 'visit'));

CALL app.make_tenant_table('cashless_taking', append_only => true, audited => false);
CALL app.make_tenant_table('break_in', append_only => true, audited => false);
