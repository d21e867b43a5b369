-- Money that lies in a changer, in tubes or in a hopper at a site, so that it can give change. Its balance is in the journal.
CREATE TABLE change_fund (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  code        text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  kind        text NOT NULL CHECK (kind IN ('changer', 'tubes', 'hopper')),
  site_id     uuid NOT NULL,
  machine_id  uuid,
  currency    text NOT NULL,
  recorded_at timestamptz NOT NULL,
  recorded_by text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT change_fund_code_once UNIQUE (tenant_id, code),
  UNIQUE (tenant_id, id, currency),
  CONSTRAINT change_fund_site FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  CONSTRAINT change_fund_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id)
);

-- Cash that went from one of the operator's places to another. Each is an entry of the journal; one that was wrong is taken
-- back by a row that names it.
CREATE TABLE cash_move (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  kind          text NOT NULL CHECK (kind IN ('float-given', 'float-returned', 'fund-filled', 'fund-emptied', 'paid-in')),
  moved_on      date NOT NULL,
  -- Of what is paid into the bank: the day that it was counted on.
  counted_on    date,
  currency      text NOT NULL,
  amount_minor  bigint NOT NULL CHECK (amount_minor > 0),
  -- Of a fund: who brought or took it out of their float; null where it was the counting room's.
  collector_id  uuid,
  fund_id       uuid,
  -- A fund that was filled out of the boxes of this collection, before they were bagged.
  collection_id uuid,
  reference     text NOT NULL DEFAULT '',
  takes_back_id uuid,
  reason        text,
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT cash_move_taken_back_once UNIQUE (tenant_id, takes_back_id),
  CONSTRAINT cash_move_collector FOREIGN KEY (tenant_id, collector_id) REFERENCES person (tenant_id, id),
  CONSTRAINT cash_move_fund FOREIGN KEY (tenant_id, fund_id, currency) REFERENCES change_fund (tenant_id, id, currency),
  CONSTRAINT cash_move_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT cash_move_takes_back FOREIGN KEY (tenant_id, takes_back_id) REFERENCES cash_move (tenant_id, id),
  CONSTRAINT cash_move_names_its_places CHECK (CASE kind
    WHEN 'float-given' THEN collector_id IS NOT NULL AND fund_id IS NULL AND collection_id IS NULL
    WHEN 'float-returned' THEN collector_id IS NOT NULL AND fund_id IS NULL AND collection_id IS NULL
    WHEN 'fund-filled' THEN fund_id IS NOT NULL AND num_nonnulls(collector_id, collection_id) <= 1
    WHEN 'fund-emptied' THEN fund_id IS NOT NULL AND collection_id IS NULL
    ELSE num_nonnulls(collector_id, fund_id, collection_id) = 0 END),
  CONSTRAINT cash_move_counted_on CHECK ((kind = 'paid-in') = (counted_on IS NOT NULL)),
  CONSTRAINT cash_move_taken_back_with_reason CHECK ((takes_back_id IS NULL) = (reason IS NULL))
);
CREATE INDEX cash_move_by_day ON cash_move (tenant_id, moved_on, id);
CREATE INDEX cash_move_by_day_counted ON cash_move (tenant_id, counted_on) WHERE counted_on IS NOT NULL;
CREATE INDEX cash_move_by_collection ON cash_move (tenant_id, collection_id) WHERE collection_id IS NOT NULL;

-- What was found when one of these places was counted, beside what the books said. The journal has the difference.
CREATE TABLE cash_stocktake (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  place         text NOT NULL CHECK (place IN ('counting-room', 'collector', 'fund')),
  collector_id  uuid,
  fund_id       uuid,
  currency      text NOT NULL,
  counted_on    date NOT NULL,
  counted_minor bigint NOT NULL CHECK (counted_minor >= 0),
  booked_minor  bigint NOT NULL,
  reason        text NOT NULL CHECK (reason <> ''),
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT cash_stocktake_collector FOREIGN KEY (tenant_id, collector_id) REFERENCES person (tenant_id, id),
  CONSTRAINT cash_stocktake_fund FOREIGN KEY (tenant_id, fund_id, currency) REFERENCES change_fund (tenant_id, id, currency),
  CONSTRAINT cash_stocktake_names_its_place CHECK ((place = 'collector') = (collector_id IS NOT NULL) AND (place = 'fund') = (fund_id IS NOT NULL))
);
CREATE INDEX cash_stocktake_by_day ON cash_stocktake (tenant_id, counted_on, id);

-- What happened to a sealed bag after it left the site, and the seal that was found on it.
CREATE TABLE collection_bag_step (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  bag_id      uuid NOT NULL,
  kind        text NOT NULL CHECK (kind IN ('received', 'opened')),
  seal        text NOT NULL CHECK (seal <> ''),
  happened_at timestamptz NOT NULL,
  recorded_at timestamptz NOT NULL,
  recorded_by text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT collection_bag_step_once UNIQUE (tenant_id, bag_id, kind),
  CONSTRAINT collection_bag_step_bag FOREIGN KEY (tenant_id, bag_id) REFERENCES collection_bag (tenant_id, id),
  CONSTRAINT collection_bag_step_times CHECK (happened_at <= recorded_at)
);

CREATE INDEX collection_by_day ON collection (tenant_id, local_date);

CALL app.make_tenant_table('change_fund', append_only => true, audited => true);
CALL app.make_tenant_table('cash_move', append_only => true, audited => true);
CALL app.make_tenant_table('cash_stocktake', append_only => true, audited => true);
CALL app.make_tenant_table('collection_bag_step', append_only => true, audited => false);
CALL app.make_texts_erasable('cash_move', '{reference,reason}');
CALL app.make_texts_erasable('cash_stocktake', '{reason}');
