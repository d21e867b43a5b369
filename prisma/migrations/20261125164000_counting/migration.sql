-- That a scale showed what a known weight weighs, before anything was counted on it.
CREATE TABLE scale_check (
  tenant_id            uuid NOT NULL REFERENCES operator (tenant_id),
  id                   uuid NOT NULL,
  scale                text NOT NULL CHECK (scale <> ''),
  reference_milligrams bigint NOT NULL CHECK (reference_milligrams > 0),
  shown_milligrams     bigint NOT NULL CHECK (shown_milligrams >= 0),
  happened_at          timestamptz NOT NULL,
  recorded_at          timestamptz NOT NULL,
  recorded_by          text NOT NULL,
  PRIMARY KEY (tenant_id, id)
);
CREATE INDEX scale_check_by_time ON scale_check (tenant_id, happened_at, id);

-- How the cash of a count was counted, denomination by denomination, as it was entered and valued. A count without a row
-- here was entered as amounts.
CREATE TABLE box_tally (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  box_count_id   uuid NOT NULL,
  lines          jsonb NOT NULL CHECK (jsonb_typeof(lines) = 'array'),
  scale_check_id uuid,
  PRIMARY KEY (tenant_id, box_count_id),
  FOREIGN KEY (tenant_id, box_count_id) REFERENCES box_count (tenant_id, id),
  CONSTRAINT box_tally_scale_check FOREIGN KEY (tenant_id, scale_check_id) REFERENCES scale_check (tenant_id, id)
);

CALL app.make_tenant_table('scale_check', append_only => true, audited => false);
CALL app.make_tenant_table('box_tally', append_only => true, audited => false);

-- What was counted at the machine, before the counting room counts the same box and settles it. The difference of the two is
-- a variance of its own.
CREATE TABLE field_count (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  collection_id uuid NOT NULL,
  site_id       uuid NOT NULL,
  placement_id  uuid NOT NULL,
  machine_id    uuid NOT NULL,
  part          smallint NOT NULL DEFAULT 1 CHECK (part BETWEEN 1 AND 99),
  currency      text NOT NULL,
  coin_minor    bigint NOT NULL CHECK (coin_minor >= 0),
  note_minor    bigint NOT NULL CHECK (note_minor >= 0),
  tally         jsonb CHECK (jsonb_typeof(tally) = 'array'),
  counted_by    uuid NOT NULL,
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT field_count_once UNIQUE (tenant_id, collection_id, placement_id, part),
  CONSTRAINT field_count_collection FOREIGN KEY (tenant_id, collection_id, site_id, currency) REFERENCES collection (tenant_id, id, site_id, currency),
  CONSTRAINT field_count_placement FOREIGN KEY (tenant_id, placement_id, machine_id, site_id) REFERENCES placement (tenant_id, id, machine_id, site_id),
  CONSTRAINT field_count_person FOREIGN KEY (tenant_id, counted_by) REFERENCES person (tenant_id, id)
);

CALL app.make_tenant_table('field_count', append_only => true, audited => false);
