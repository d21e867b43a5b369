-- A phone or tablet on which visits are entered, bound to the account that registered it. Its secret is stored as a hash.
CREATE TABLE collector_device (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  name            text NOT NULL CHECK (name <> ''),
  account_id      uuid NOT NULL,
  person_id       uuid,
  secret_hash     bytea NOT NULL CHECK (length(secret_hash) = 32),
  registered_at   timestamptz NOT NULL,
  revoked_at      timestamptz,
  revoked_by      text,
  revoked_because text,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT collector_device_person FOREIGN KEY (tenant_id, person_id) REFERENCES person (tenant_id, id),
  CONSTRAINT collector_device_revoked CHECK ((revoked_at IS NULL) = (revoked_by IS NULL) AND (revoked_at IS NULL) = (revoked_because IS NULL))
);
CREATE INDEX collector_device_by_account ON collector_device (tenant_id, account_id);

-- A visit as a phone sent it, word for word: in the books as the collection named, or kept aside with the reason.
CREATE TABLE phone_visit (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  device_id     uuid NOT NULL,
  sequence      integer NOT NULL CHECK (sequence >= 1),
  body          jsonb NOT NULL,
  body_hash     bytea NOT NULL CHECK (length(body_hash) = 32),
  outcome       text NOT NULL CHECK (outcome IN ('entered', 'quarantined')),
  collection_id uuid,
  -- Code, detail and fields, as the refusal of a request says them.
  problem       jsonb,
  received_at   timestamptz NOT NULL,
  received_from text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT phone_visit_in_order UNIQUE (tenant_id, device_id, sequence),
  CONSTRAINT phone_visit_device FOREIGN KEY (tenant_id, device_id) REFERENCES collector_device (tenant_id, id),
  CONSTRAINT phone_visit_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT phone_visit_outcome_says_what CHECK ((outcome = 'entered') = (collection_id IS NOT NULL) AND (outcome = 'quarantined') = (problem IS NOT NULL))
);
CREATE INDEX phone_visit_by_time ON phone_visit (tenant_id, received_at, id);
CREATE INDEX phone_visit_by_collection ON phone_visit (tenant_id, collection_id);

-- What the office made of a visit that was kept aside: entered as corrected here, or discarded. Both stay.
CREATE TABLE phone_visit_ruling (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  visit_id      uuid NOT NULL,
  kind          text NOT NULL CHECK (kind IN ('entered', 'discarded')),
  reason        text NOT NULL CHECK (reason <> ''),
  entered       jsonb,
  collection_id uuid,
  ruled_at      timestamptz NOT NULL,
  ruled_by      text NOT NULL,
  PRIMARY KEY (tenant_id, visit_id),
  CONSTRAINT phone_visit_ruling_visit FOREIGN KEY (tenant_id, visit_id) REFERENCES phone_visit (tenant_id, id),
  CONSTRAINT phone_visit_ruling_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT phone_visit_ruling_says_what CHECK ((kind = 'entered') = (collection_id IS NOT NULL) AND (kind = 'entered') = (entered IS NOT NULL))
);

-- A bag of cash that went from a site to the counting room under a seal. A seal serves once.
CREATE TABLE collection_bag (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  collection_id uuid NOT NULL,
  -- Null: the bag holds what came from several boxes.
  machine_id    uuid,
  number        text NOT NULL CHECK (number <> ''),
  seal          text NOT NULL CHECK (seal <> ''),
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT collection_bag_seal_once UNIQUE (tenant_id, seal),
  CONSTRAINT collection_bag_collection FOREIGN KEY (tenant_id, collection_id) REFERENCES collection (tenant_id, id),
  CONSTRAINT collection_bag_machine FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id)
);
CREATE INDEX collection_bag_by_collection ON collection_bag (tenant_id, collection_id);

-- What the receiver of cash drew on the phone: strokes, of each point x and y in turn, from 0 to 1000.
CREATE TABLE cash_handed_signature (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  cash_handed_id uuid NOT NULL,
  strokes        jsonb NOT NULL CHECK (jsonb_typeof(strokes) = 'array'),
  recorded_at    timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, cash_handed_id),
  CONSTRAINT cash_handed_signature_of FOREIGN KEY (tenant_id, cash_handed_id) REFERENCES cash_handed (tenant_id, id)
);

CALL app.make_tenant_table('collector_device', append_only => false, audited => true, not_recorded => '{secret_hash}');
CALL app.make_tenant_table('phone_visit', append_only => true, audited => false);
CALL app.make_tenant_table('phone_visit_ruling', append_only => true, audited => true, not_recorded => '{entered}');
CALL app.make_tenant_table('collection_bag', append_only => true, audited => false);
CALL app.make_tenant_table('cash_handed_signature', append_only => true, audited => false);
REVOKE UPDATE, DELETE ON collector_device FROM latchledger_app;
GRANT UPDATE (revoked_at, revoked_by, revoked_because) ON collector_device TO latchledger_app;
