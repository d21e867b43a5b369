-- How often a site is to be visited, and with how much in one box it is due before that. Said anew, the latest counts.
CREATE TABLE collection_rhythm (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  id               uuid NOT NULL,
  site_id          uuid NOT NULL,
  currency         text NOT NULL,
  every_days       integer NOT NULL CHECK (every_days BETWEEN 1 AND 366),
  -- Null: the cash in a box makes nothing due.
  box_limit_minor  bigint CHECK (box_limit_minor > 0),
  recorded_at      timestamptz NOT NULL,
  recorded_by      text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT collection_rhythm_site FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency)
);
CREATE INDEX collection_rhythm_by_site ON collection_rhythm (tenant_id, site_id, recorded_at, id);

-- Sites to be visited on one day by one person, in an order. A visit that was made is seen in the collections, not here.
CREATE TABLE collection_round (
  tenant_id         uuid NOT NULL REFERENCES operator (tenant_id),
  id                uuid NOT NULL,
  name              text NOT NULL CHECK (name <> ''),
  planned_on        date NOT NULL,
  collector_id      uuid NOT NULL,
  state             text NOT NULL CHECK (state IN ('planned', 'cancelled')),
  cancelled_because text,
  revision          integer NOT NULL DEFAULT 1,
  recorded_at       timestamptz NOT NULL,
  recorded_by       text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT collection_round_collector FOREIGN KEY (tenant_id, collector_id) REFERENCES person (tenant_id, id),
  CONSTRAINT collection_round_cancelled_because CHECK ((state = 'cancelled') = (cancelled_because IS NOT NULL))
);
CREATE INDEX collection_round_by_day ON collection_round (tenant_id, planned_on, id);
CREATE INDEX collection_round_by_collector ON collection_round (tenant_id, collector_id, planned_on);

CREATE TABLE collection_round_stop (
  tenant_id uuid NOT NULL REFERENCES operator (tenant_id),
  round_id  uuid NOT NULL,
  position  integer NOT NULL CHECK (position >= 1),
  site_id   uuid NOT NULL,
  PRIMARY KEY (tenant_id, round_id, position),
  CONSTRAINT collection_round_stop_once UNIQUE (tenant_id, round_id, site_id),
  CONSTRAINT collection_round_stop_round FOREIGN KEY (tenant_id, round_id) REFERENCES collection_round (tenant_id, id),
  CONSTRAINT collection_round_stop_site FOREIGN KEY (tenant_id, site_id) REFERENCES site (tenant_id, id)
);
CREATE INDEX collection_round_stop_by_site ON collection_round_stop (tenant_id, site_id);

CALL app.make_tenant_table('collection_rhythm', append_only => true, audited => true);
CALL app.make_tenant_table('collection_round', append_only => false, audited => true, counts_revision => true);
CALL app.make_tenant_table('collection_round_stop', append_only => false, audited => true);
REVOKE DELETE ON collection_round FROM latchledger_app;
