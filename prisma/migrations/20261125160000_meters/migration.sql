-- Counter boards, the meters on them, what was read off these, and the times at which a machine did not work.

-- Meters belong to the board and not to the cabinet. removed_at is the first moment at which the board is no longer in it.
CREATE TABLE counter_board (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  machine_id uuid NOT NULL,
  label      text NOT NULL CHECK (label <> ''),
  fitted_at  timestamptz NOT NULL,
  removed_at timestamptz,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, id, machine_id),
  CONSTRAINT counter_board_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  CONSTRAINT counter_board_times CHECK (removed_at > fitted_at),
  CONSTRAINT counter_board_one_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, machine_id WITH =, tstzrange(fitted_at, removed_at, '[)') WITH &&)
);

-- capacity: how many values it shows, 10 to the power of its digits; without digits an electronic counter of 32 bits.
CREATE TABLE meter (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  board_id      uuid NOT NULL,
  machine_id    uuid NOT NULL,
  label         text NOT NULL CHECK (label <> ''),
  tender        text NOT NULL CHECK (tender IN ('coin', 'note', 'plays', 'test-plays', 'refunds')),
  digits        smallint CHECK (digits BETWEEN 3 AND 12),
  capacity      bigint NOT NULL,
  currency      text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
  most_per_hour bigint NOT NULL CHECK (most_per_hour > 0),
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, id, machine_id, capacity),
  CONSTRAINT meter_label_once UNIQUE (tenant_id, board_id, label),
  CONSTRAINT meter_board FOREIGN KEY (tenant_id, board_id, machine_id) REFERENCES counter_board (tenant_id, id, machine_id),
  CONSTRAINT meter_capacity CHECK (capacity = CASE WHEN digits IS NULL THEN 4294967296 ELSE (10::numeric ^ digits)::bigint END)
);

-- What one unit of a meter is worth from a moment on. A price per play changes, and the meter is read at that moment.
CREATE TABLE meter_value (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  meter_id         uuid NOT NULL,
  effective_at     timestamptz NOT NULL,
  unit_value_minor bigint NOT NULL CHECK (unit_value_minor > 0),
  recorded_at      timestamptz NOT NULL,
  recorded_by      text NOT NULL,
  CONSTRAINT meter_value_pkey PRIMARY KEY (tenant_id, meter_id, effective_at),
  FOREIGN KEY (tenant_id, meter_id) REFERENCES meter (tenant_id, id)
);

-- A correction is a new row for the same meter and moment, which the keys make sure of. One without a value takes the reading back.
-- phase: two readings of one moment are the values before and after a board was open.
CREATE TABLE meter_reading (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  meter_id      uuid NOT NULL,
  machine_id    uuid NOT NULL,
  capacity      bigint NOT NULL,
  happened_at   timestamptz NOT NULL,
  phase         text NOT NULL CHECK (phase IN ('before', 'only', 'after')),
  occasion      text NOT NULL CHECK (occasion IN ('collection', 'placement', 'removal', 'price-change', 'board-access', 'board-fitted', 'board-removed', 'in-service', 'out-of-service')),
  collection_id uuid,
  value         bigint,
  -- Entered although it does not fit its neighbours, by somebody who looked again.
  read_again    boolean NOT NULL DEFAULT false,
  read_by       uuid,
  replaces_id   uuid,
  reason        text,
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT meter_reading_same UNIQUE (tenant_id, id, meter_id, happened_at, phase, occasion),
  CONSTRAINT meter_reading_meter FOREIGN KEY (tenant_id, meter_id, machine_id, capacity) REFERENCES meter (tenant_id, id, machine_id, capacity),
  CONSTRAINT meter_reading_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT meter_reading_person FOREIGN KEY (tenant_id, read_by) REFERENCES person (tenant_id, id),
  CONSTRAINT meter_reading_replaces FOREIGN KEY (tenant_id, replaces_id, meter_id, happened_at, phase, occasion)
    REFERENCES meter_reading (tenant_id, id, meter_id, happened_at, phase, occasion),
  CONSTRAINT meter_reading_shown CHECK (value >= 0 AND value < capacity),
  CONSTRAINT meter_reading_replaced_with_reason CHECK (replaces_id IS NULL OR reason <> ''),
  CONSTRAINT meter_reading_taken_back CHECK (value IS NOT NULL OR replaces_id IS NOT NULL),
  CONSTRAINT meter_reading_of_collection CHECK ((occasion = 'collection') = (collection_id IS NOT NULL)),
  CONSTRAINT meter_reading_pair CHECK ((occasion = 'board-access') = (phase <> 'only'))
);
CREATE UNIQUE INDEX meter_reading_once ON meter_reading (tenant_id, meter_id, happened_at, phase) WHERE replaces_id IS NULL;
CREATE UNIQUE INDEX meter_reading_replaced_once ON meter_reading (tenant_id, replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX meter_reading_by_meter ON meter_reading (tenant_id, meter_id, happened_at);
CREATE INDEX meter_reading_by_machine ON meter_reading (tenant_id, machine_id, happened_at);
CREATE INDEX meter_reading_by_collection ON meter_reading (tenant_id, collection_id) WHERE collection_id IS NOT NULL;

-- When a machine did not work: its days are no days in service.
CREATE TABLE outage (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  machine_id  uuid NOT NULL,
  started_at  timestamptz NOT NULL,
  ended_at    timestamptz,
  cause       text NOT NULL CHECK (cause <> ''),
  remedy      text NOT NULL DEFAULT '',
  reported_by uuid,
  revision    integer NOT NULL DEFAULT 1,
  recorded_at timestamptz NOT NULL,
  recorded_by text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT outage_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  CONSTRAINT outage_person FOREIGN KEY (tenant_id, reported_by) REFERENCES person (tenant_id, id),
  CONSTRAINT outage_times CHECK (ended_at > started_at),
  -- What was done is said when it works again.
  CONSTRAINT outage_remedied CHECK ((ended_at IS NULL) = (remedy = '')),
  CONSTRAINT outage_one_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, machine_id WITH =, tstzrange(started_at, ended_at, '[)') WITH &&)
);
CREATE INDEX outage_by_time ON outage (tenant_id, started_at, id);

ALTER TABLE relaxed_record DROP CONSTRAINT relaxed_record_kind_check;
ALTER TABLE relaxed_record ADD CONSTRAINT relaxed_record_kind_check CHECK (kind IN
  ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading'));

CALL app.make_tenant_table('counter_board', append_only => false, audited => true);
CALL app.make_tenant_table('meter', append_only => true, audited => true);
CALL app.make_tenant_table('meter_value', append_only => true, audited => true);
CALL app.make_tenant_table('meter_reading', append_only => true, audited => false);
CALL app.make_tenant_table('outage', append_only => false, audited => true, counts_revision => true);
REVOKE DELETE ON counter_board, outage FROM latchledger_app;
