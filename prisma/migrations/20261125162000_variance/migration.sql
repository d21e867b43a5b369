-- When a difference between counted and metered cash is followed up, by name, dated, for one currency. Without a row dollars
-- have a default and other currencies none.
CREATE TABLE tolerance_rule_set (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  id           uuid NOT NULL,
  name         text NOT NULL CHECK (name <> ''),
  currency     text NOT NULL,
  effective_on date NOT NULL,
  amount_minor bigint CHECK (amount_minor >= 0),
  percent      numeric(12, 9) CHECK (percent BETWEEN 0 AND 100),
  joined_by    text NOT NULL CHECK (joined_by IN ('and', 'or')),
  percent_of   text NOT NULL CHECK (percent_of IN ('metered', 'counted')),
  out_when     text NOT NULL CHECK (out_when IN ('more-than', 'at-least')),
  recorded_at  timestamptz NOT NULL,
  recorded_by  text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT tolerance_rule_set_tests_something CHECK (amount_minor IS NOT NULL OR percent IS NOT NULL)
);
CREATE INDEX tolerance_rule_set_by_day ON tolerance_rule_set (tenant_id, currency, effective_on, recorded_at, id);

-- What was counted in a box against what meters implied, by tender, from the acceptance of the collection on. A correction
-- adds a row with the next revision; the one before no longer stands, and stays.
CREATE TABLE cash_variance (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  id               uuid NOT NULL,
  collection_id    uuid NOT NULL,
  site_id          uuid NOT NULL,
  placement_id     uuid NOT NULL,
  machine_id       uuid NOT NULL,
  tender           text NOT NULL CHECK (tender IN ('coin', 'note', 'cash')),
  revision         integer NOT NULL CHECK (revision >= 1),
  stands           boolean NOT NULL DEFAULT true,
  currency         text NOT NULL,
  happened_at      timestamptz NOT NULL,
  local_date       date NOT NULL,
  accounting_date  date NOT NULL,
  expected_minor   bigint NOT NULL,
  counted_minor    bigint NOT NULL CHECK (counted_minor >= 0),
  rule_set_id      uuid,
  out_of_tolerance boolean NOT NULL,
  left_out         boolean NOT NULL,
  -- The charts with this count; null in sigmas while too little is known of the machine. Computed again after a correction.
  sigmas           double precision,
  chart_sum        double precision NOT NULL,
  chart_average    double precision NOT NULL,
  average_limit    double precision NOT NULL,
  signals          text[] NOT NULL CHECK (signals <@ ARRAY['steady-shortage', 'moving-average', 'always-zero', 'repeating']),
  recorded_at      timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT cash_variance_revision_once UNIQUE (tenant_id, collection_id, placement_id, tender, revision),
  CONSTRAINT cash_variance_collection FOREIGN KEY (tenant_id, collection_id, site_id, currency) REFERENCES collection (tenant_id, id, site_id, currency),
  CONSTRAINT cash_variance_placement FOREIGN KEY (tenant_id, placement_id, machine_id, site_id) REFERENCES placement (tenant_id, id, machine_id, site_id),
  CONSTRAINT cash_variance_rule_set FOREIGN KEY (tenant_id, rule_set_id) REFERENCES tolerance_rule_set (tenant_id, id)
);
CREATE UNIQUE INDEX cash_variance_one_stands ON cash_variance (tenant_id, collection_id, placement_id, tender) WHERE stands;
CREATE INDEX cash_variance_by_machine ON cash_variance (tenant_id, machine_id, happened_at, id) WHERE stands;
CREATE INDEX cash_variance_by_date ON cash_variance (tenant_id, accounting_date, id) WHERE stands;

-- The statistics of a machine and tender after its latest accepted count. The rows are also the lock under which a count is
-- added to them.
CREATE TABLE variance_series (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  machine_id  uuid NOT NULL,
  tender      text NOT NULL CHECK (tender IN ('coin', 'note', 'cash')),
  currency    text NOT NULL,
  state       jsonb NOT NULL,
  latest_at   timestamptz,
  PRIMARY KEY (tenant_id, machine_id, tender, currency),
  CONSTRAINT variance_series_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id)
);

-- A count that is to be explained. What it was raised for, and what was said to it, is in its events.
CREATE TABLE variance_flag (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  collection_id   uuid NOT NULL,
  site_id         uuid NOT NULL,
  placement_id    uuid NOT NULL,
  machine_id      uuid NOT NULL,
  currency        text NOT NULL,
  accounting_date date NOT NULL,
  state           text NOT NULL CHECK (state IN ('open', 'explained')),
  raised_at       timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT variance_flag_collection FOREIGN KEY (tenant_id, collection_id, site_id, currency) REFERENCES collection (tenant_id, id, site_id, currency),
  CONSTRAINT variance_flag_placement FOREIGN KEY (tenant_id, placement_id, machine_id, site_id) REFERENCES placement (tenant_id, id, machine_id, site_id)
);
CREATE UNIQUE INDEX variance_flag_one_open ON variance_flag (tenant_id, collection_id, placement_id) WHERE state = 'open';
CREATE INDEX variance_flag_by_date ON variance_flag (tenant_id, accounting_date, id);
CREATE INDEX variance_flag_open_at_site ON variance_flag (tenant_id, site_id, accounting_date) WHERE state = 'open';

-- The history of a flag. `figures` holds amounts by tender as they were then, as text of minor units.
CREATE TABLE variance_flag_event (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  flag_id     uuid NOT NULL,
  kind        text NOT NULL CHECK (kind IN ('raised', 'explained')),
  reasons     text[] NOT NULL CHECK (reasons <@ ARRAY['tolerance', 'steady-shortage', 'moving-average', 'always-zero', 'repeating']),
  figures     jsonb NOT NULL CHECK (jsonb_typeof(figures) = 'array'),
  cause       text,
  evidence    text,
  happened_at timestamptz NOT NULL,
  happened_by text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT variance_flag_event_flag FOREIGN KEY (tenant_id, flag_id) REFERENCES variance_flag (tenant_id, id),
  CONSTRAINT variance_flag_event_says_why CHECK ((kind = 'raised') = (cardinality(reasons) > 0) AND (kind = 'explained') = (cause IS NOT NULL AND evidence IS NOT NULL))
);
CREATE INDEX variance_flag_event_by_flag ON variance_flag_event (tenant_id, flag_id, happened_at, id);
CREATE UNIQUE INDEX variance_flag_explained_once ON variance_flag_event (tenant_id, flag_id) WHERE kind = 'explained';

-- Flags under which the owner let a settlement be reviewed; why is in the settlement's history.
CREATE TABLE variance_flag_override (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  settlement_id uuid NOT NULL,
  flag_id       uuid NOT NULL,
  event_id      uuid NOT NULL,
  PRIMARY KEY (tenant_id, settlement_id, flag_id),
  CONSTRAINT variance_flag_override_settlement FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id),
  CONSTRAINT variance_flag_override_flag FOREIGN KEY (tenant_id, flag_id) REFERENCES variance_flag (tenant_id, id),
  CONSTRAINT variance_flag_override_event FOREIGN KEY (tenant_id, event_id) REFERENCES settlement_event (tenant_id, id)
);

CALL app.make_tenant_table('tolerance_rule_set', append_only => true, audited => true);
CALL app.make_tenant_table('cash_variance', append_only => false, audited => false);
CALL app.make_tenant_table('variance_series', append_only => false, audited => false);
CALL app.make_tenant_table('variance_flag', append_only => false, audited => false);
CALL app.make_tenant_table('variance_flag_event', append_only => true, audited => false);
CALL app.make_tenant_table('variance_flag_override', append_only => true, audited => false);

-- Amounts never change; only the charts over them are drawn again, and a flag goes from open to explained.
REVOKE UPDATE, DELETE ON cash_variance, variance_flag FROM latchledger_app;
REVOKE DELETE ON variance_series FROM latchledger_app;
GRANT UPDATE (stands, sigmas, chart_sum, chart_average, average_limit, signals) ON cash_variance TO latchledger_app;
GRANT UPDATE (state) ON variance_flag TO latchledger_app;

ALTER TABLE relaxed_record DROP CONSTRAINT relaxed_record_kind_check;
ALTER TABLE relaxed_record ADD CONSTRAINT relaxed_record_kind_check
  CHECK (kind IN ('custody-event', 'key-count', 'custodian', 'count', 'refund-slip', 'cash-handed', 'cashless-taking', 'break-in', 'meter-reading', 'variance-flag'));
