-- The trade: who places which machine where, what came out of its box, under which terms, and what was settled.
--
-- Rules that hold for every table here
--  * primary key (tenant_id, id), and every foreign and unique key carries tenant_id: rows of two operators cannot be tied.
--  * money is bigint minor units beside its currency; a composite foreign key to the site keeps currencies from mixing.
--  * the program's clock is injected, so times have no default: a row without its time is refused.
--  * dates: `*_on` is a day of the site's calendar. A range runs from its first day up to, not including, its last column.

------------------------------------------------------------------------------------------------------------------------
-- Tax areas and their dated rules
------------------------------------------------------------------------------------------------------------------------
CREATE TABLE tax_area (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  code       text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,29}$'),
  name       text NOT NULL CHECK (name <> ''),
  country    text NOT NULL CHECK (country ~ '^[A-Z]{2}$'),
  revision   integer NOT NULL DEFAULT 1,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code)
);

-- The document holds method, components, machine kinds, cap, who files and who bears; its shape is libs/contracts/tax.
CREATE TABLE tax_rule (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  tax_area_id uuid NOT NULL,
  code        text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,29}$'),
  valid_from  date NOT NULL,
  valid_to    date,
  document    jsonb NOT NULL,
  source      text NOT NULL DEFAULT '',
  -- Why it was written or ended, where that reached into settled periods.
  reason      text NOT NULL DEFAULT '',
  created_at  timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, tax_area_id) REFERENCES tax_area (tenant_id, id),
  CONSTRAINT tax_rule_dates CHECK (valid_to > valid_from),
  -- Two wordings of one rule on one day would make the tax depend on which was read first.
  CONSTRAINT tax_rule_once_a_day EXCLUDE USING gist
    (tenant_id WITH =, tax_area_id WITH =, code WITH =, daterange(valid_from, valid_to, '[)') WITH &&)
);

------------------------------------------------------------------------------------------------------------------------
-- Sites, parties, people, machines, games
------------------------------------------------------------------------------------------------------------------------
CREATE TABLE site (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  code        text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  name        text NOT NULL CHECK (name <> ''),
  address     text[] NOT NULL DEFAULT '{}',
  time_zone   text NOT NULL,
  currency    text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
  tax_area_id uuid NOT NULL,
  opened_on   date NOT NULL,
  closed_on   date,
  revision    integer NOT NULL DEFAULT 1,
  created_at  timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code),
  UNIQUE (tenant_id, id, currency),
  FOREIGN KEY (tenant_id, tax_area_id) REFERENCES tax_area (tenant_id, id),
  CONSTRAINT site_dates CHECK (closed_on > opened_on)
);

-- Whoever can be owed money under an agreement: the site's owner of a time, or a third party such as a landlord.
CREATE TABLE party (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  code       text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  name       text NOT NULL CHECK (name <> ''),
  address    text[] NOT NULL DEFAULT '{}',
  locale     text NOT NULL,
  revision   integer NOT NULL DEFAULT 1,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code)
);

-- A person works for the operator, or for one site. Which of the two decides later which class of key they may be given.
CREATE TABLE person (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  id           uuid NOT NULL,
  code         text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  name         text NOT NULL CHECK (name <> ''),
  employed_by  text NOT NULL CHECK (employed_by IN ('operator', 'site')),
  site_id      uuid,
  email        text,
  started_on   date NOT NULL,
  left_on      date,
  revision     integer NOT NULL DEFAULT 1,
  created_at   timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code),
  FOREIGN KEY (tenant_id, site_id) REFERENCES site (tenant_id, id),
  CONSTRAINT person_employer CHECK ((employed_by = 'site') = (site_id IS NOT NULL)),
  CONSTRAINT person_dates CHECK (left_on >= started_on)
);

-- The cabinet with its lock and cash box. The game in it may change without the cabinet moving.
CREATE TABLE machine (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  tag           text NOT NULL CHECK (tag ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  kind          text NOT NULL CHECK (kind ~ '^[a-z][a-z0-9-]{1,29}$'),
  serial_number text,
  acquired_on   date NOT NULL,
  disposed_on   date,
  revision      integer NOT NULL DEFAULT 1,
  created_at    timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, tag),
  CONSTRAINT machine_dates CHECK (disposed_on > acquired_on)
);

CREATE TABLE game (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  code       text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,19}$'),
  title      text NOT NULL CHECK (title <> ''),
  kind       text NOT NULL CHECK (kind ~ '^[a-z][a-z0-9-]{1,29}$'),
  revision   integer NOT NULL DEFAULT 1,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code)
);

-- removed_on is the day of removal: the next placement may begin on it, and a removal count of that day belongs here.
CREATE TABLE placement (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  machine_id uuid NOT NULL,
  site_id    uuid NOT NULL,
  placed_on  date NOT NULL,
  removed_on date,
  revision   integer NOT NULL DEFAULT 1,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, id, machine_id, site_id),
  FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  FOREIGN KEY (tenant_id, site_id) REFERENCES site (tenant_id, id),
  CONSTRAINT placement_dates CHECK (removed_on > placed_on),
  CONSTRAINT placement_one_site_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, machine_id WITH =, daterange(placed_on, removed_on, '[)') WITH &&)
);
CREATE INDEX placement_by_site ON placement (tenant_id, site_id, placed_on);

CREATE TABLE installation (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  id           uuid NOT NULL,
  machine_id   uuid NOT NULL,
  game_id      uuid NOT NULL,
  installed_on date NOT NULL,
  removed_on   date,
  revision     integer NOT NULL DEFAULT 1,
  created_at   timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id),
  FOREIGN KEY (tenant_id, game_id) REFERENCES game (tenant_id, id),
  CONSTRAINT installation_dates CHECK (removed_on > installed_on),
  CONSTRAINT installation_one_game_at_a_time EXCLUDE USING gist
    (tenant_id WITH =, machine_id WITH =, daterange(installed_on, removed_on, '[)') WITH &&)
);

------------------------------------------------------------------------------------------------------------------------
-- Agreements and their dated versions
------------------------------------------------------------------------------------------------------------------------
-- ended_on is the first day on which the agreement no longer holds.
CREATE TABLE agreement (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  id         uuid NOT NULL,
  code       text NOT NULL CHECK (code ~ '^[A-Z0-9][A-Z0-9-]{0,29}$'),
  site_id    uuid NOT NULL,
  party_id   uuid NOT NULL,
  started_on date NOT NULL,
  ended_on   date,
  revision   integer NOT NULL DEFAULT 1,
  created_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, code),
  UNIQUE (tenant_id, id, site_id),
  FOREIGN KEY (tenant_id, site_id) REFERENCES site (tenant_id, id),
  FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id),
  CONSTRAINT agreement_dates CHECK (ended_on > started_on),
  CONSTRAINT agreement_one_per_site EXCLUDE USING gist
    (tenant_id WITH =, site_id WITH =, daterange(started_on, ended_on, '[)') WITH &&)
);

-- Parties beside the operator and the site's owner that the terms may name.
CREATE TABLE agreement_party (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  agreement_id uuid NOT NULL,
  party_id     uuid NOT NULL,
  PRIMARY KEY (tenant_id, agreement_id, party_id),
  FOREIGN KEY (tenant_id, agreement_id) REFERENCES agreement (tenant_id, id),
  FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id)
);

-- A version is never edited: terms corrected backwards withdraw it and record another from the same day.
CREATE TABLE agreement_version (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  id             uuid NOT NULL,
  agreement_id   uuid NOT NULL,
  effective_from date NOT NULL,
  terms          jsonb NOT NULL,
  reason         text NOT NULL DEFAULT '',
  recorded_at    timestamptz NOT NULL,
  withdrawn_at   timestamptz,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, agreement_id) REFERENCES agreement (tenant_id, id)
);
CREATE UNIQUE INDEX agreement_version_once_a_day ON agreement_version (tenant_id, agreement_id, effective_from)
  WHERE withdrawn_at IS NULL;

-- One row per agreement and period. It is the lock on which a writer of counts (FOR SHARE) and a close (FOR UPDATE) meet.
CREATE TABLE period (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  id           uuid NOT NULL,
  agreement_id uuid NOT NULL,
  site_id      uuid NOT NULL,
  starts_on    date NOT NULL,
  ends_before  date NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, agreement_id, starts_on),
  FOREIGN KEY (tenant_id, agreement_id, site_id) REFERENCES agreement (tenant_id, id, site_id),
  CONSTRAINT period_dates CHECK (ends_before > starts_on),
  CONSTRAINT period_each_day_once EXCLUDE USING gist
    (tenant_id WITH =, agreement_id WITH =, daterange(starts_on, ends_before, '[)') WITH &&)
);

------------------------------------------------------------------------------------------------------------------------
-- Files taken in, and collections
------------------------------------------------------------------------------------------------------------------------
CREATE TABLE import_file (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  id           uuid NOT NULL,
  kind         text NOT NULL CHECK (kind IN ('collections')),
  file_name    text NOT NULL,
  byte_size    bigint NOT NULL,
  sha256       bytea NOT NULL,
  state        text NOT NULL CHECK (state IN ('staged', 'refused', 'accepted', 'discarded')),
  delimiter    text NOT NULL,
  decimal_mark text NOT NULL CHECK (decimal_mark IN ('.', ',')),
  row_count    integer NOT NULL,
  error_count  integer NOT NULL,
  error_counts jsonb NOT NULL DEFAULT '{}',
  uploaded_by  text NOT NULL,
  uploaded_at  timestamptz NOT NULL,
  accepted_by  text,
  accepted_at  timestamptz,
  PRIMARY KEY (tenant_id, id)
);
-- The same bytes enter the books once.
CREATE UNIQUE INDEX import_file_accepted_once ON import_file (tenant_id, sha256) WHERE state = 'accepted';
CREATE INDEX import_file_by_digest ON import_file (tenant_id, sha256);

-- Rows wait here, already resolved, until the user accepts the file as a whole.
CREATE TABLE import_row (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  import_file_id uuid NOT NULL,
  line_number    integer NOT NULL,
  collection_id  uuid NOT NULL,
  site_id        uuid NOT NULL,
  placement_id   uuid NOT NULL,
  machine_id     uuid NOT NULL,
  currency       text NOT NULL,
  collected_at   timestamptz NOT NULL,
  local_date     date NOT NULL,
  accounting_date date NOT NULL,
  collected_by   uuid,
  part           smallint NOT NULL,
  removal        boolean NOT NULL,
  coin_minor     bigint NOT NULL,
  note_minor     bigint NOT NULL,
  refund_minor   bigint NOT NULL,
  handed_minor   bigint NOT NULL,
  PRIMARY KEY (tenant_id, import_file_id, line_number),
  FOREIGN KEY (tenant_id, import_file_id) REFERENCES import_file (tenant_id, id)
);

CREATE TABLE import_error (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  import_file_id uuid NOT NULL,
  position       integer NOT NULL,
  line_number    integer NOT NULL,
  column_name    text NOT NULL,
  code           text NOT NULL,
  value          text NOT NULL,
  PRIMARY KEY (tenant_id, import_file_id, position),
  FOREIGN KEY (tenant_id, import_file_id) REFERENCES import_file (tenant_id, id)
);

-- One visit to one site. local_date is the site's calendar day of happened_at, fixed when it is written.
CREATE TABLE collection (
  tenant_id         uuid NOT NULL REFERENCES operator (tenant_id),
  id                uuid NOT NULL,
  site_id           uuid NOT NULL,
  currency          text NOT NULL,
  happened_at       timestamptz NOT NULL,
  local_date        date NOT NULL,
  accounting_date   date NOT NULL,
  accounting_reason text,
  state             text NOT NULL CHECK (state IN ('open', 'counted', 'accepted')),
  collected_by      uuid,
  import_file_id    uuid,
  recorded_at       timestamptz NOT NULL,
  recorded_by       text NOT NULL,
  accepted_at       timestamptz,
  accepted_by       text,
  revision          integer NOT NULL DEFAULT 1,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, id, site_id, currency),
  -- A visit that is entered by hand and comes in a file, too, is one visit.
  CONSTRAINT collection_visit_once UNIQUE (tenant_id, site_id, happened_at),
  FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  FOREIGN KEY (tenant_id, collected_by) REFERENCES person (tenant_id, id),
  FOREIGN KEY (tenant_id, import_file_id) REFERENCES import_file (tenant_id, id),
  CONSTRAINT collection_moved_with_reason CHECK (accounting_date = local_date OR accounting_reason <> ''),
  CONSTRAINT collection_accepted CHECK ((state = 'accepted') = (accepted_at IS NOT NULL AND accepted_by IS NOT NULL))
);
CREATE INDEX collection_by_site_date ON collection (tenant_id, site_id, accounting_date);
-- A count covers the days since the machine's previous one, which is looked for backwards from a day.
CREATE INDEX collection_by_site_day ON collection (tenant_id, site_id, local_date);
CREATE INDEX collection_by_time ON collection (tenant_id, happened_at, id);
CREATE INDEX collection_open ON collection (tenant_id, local_date) WHERE state <> 'accepted';

-- Cash out of one machine's box. The keys tie it to a placement of that machine at the collection's own site, in the
-- site's own currency. A correction is a new row that replaces the old one, which stays legible.
CREATE TABLE box_count (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  collection_id uuid NOT NULL,
  site_id       uuid NOT NULL,
  placement_id  uuid NOT NULL,
  machine_id    uuid NOT NULL,
  part          smallint NOT NULL DEFAULT 1 CHECK (part BETWEEN 1 AND 99),
  removal       boolean NOT NULL DEFAULT false,
  currency      text NOT NULL,
  coin_minor    bigint NOT NULL CHECK (coin_minor >= 0),
  note_minor    bigint NOT NULL CHECK (note_minor >= 0),
  replaces_id   uuid,
  reason        text,
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, collection_id, site_id, currency) REFERENCES collection (tenant_id, id, site_id, currency),
  FOREIGN KEY (tenant_id, placement_id, machine_id, site_id) REFERENCES placement (tenant_id, id, machine_id, site_id),
  FOREIGN KEY (tenant_id, replaces_id) REFERENCES box_count (tenant_id, id),
  CONSTRAINT box_count_replaced_with_reason CHECK (replaces_id IS NULL OR reason <> '')
);
CREATE UNIQUE INDEX box_count_part_once ON box_count (tenant_id, collection_id, placement_id, part)
  WHERE replaces_id IS NULL;
CREATE UNIQUE INDEX box_count_replaced_once ON box_count (tenant_id, replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX box_count_by_collection ON box_count (tenant_id, collection_id);
CREATE INDEX box_count_by_placement ON box_count (tenant_id, placement_id);

-- Money that was given back to a player, presented at this collection.
CREATE TABLE refund_slip (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  collection_id uuid NOT NULL,
  site_id       uuid NOT NULL,
  placement_id  uuid NOT NULL,
  machine_id    uuid NOT NULL,
  refunded_on   date NOT NULL,
  currency      text NOT NULL,
  amount_minor  bigint NOT NULL CHECK (amount_minor > 0),
  paid_by       text NOT NULL CHECK (paid_by IN ('site', 'operator')),
  recorded_at   timestamptz NOT NULL,
  recorded_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, collection_id, site_id, currency) REFERENCES collection (tenant_id, id, site_id, currency),
  FOREIGN KEY (tenant_id, placement_id, machine_id, site_id) REFERENCES placement (tenant_id, id, machine_id, site_id)
);
CREATE INDEX refund_slip_by_collection ON refund_slip (tenant_id, collection_id);

-- Cash taken from the boxes before bagging and given to the site, with the name that it was acknowledged under.
CREATE TABLE cash_handed (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  collection_id   uuid NOT NULL,
  site_id         uuid NOT NULL,
  party_id        uuid NOT NULL,
  currency        text NOT NULL,
  amount_minor    bigint NOT NULL CHECK (amount_minor > 0),
  acknowledged_by text,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, collection_id, site_id, currency) REFERENCES collection (tenant_id, id, site_id, currency),
  FOREIGN KEY (tenant_id, party_id) REFERENCES party (tenant_id, id)
);
CREATE INDEX cash_handed_by_collection ON cash_handed (tenant_id, collection_id);

------------------------------------------------------------------------------------------------------------------------
-- Closing and settlements
------------------------------------------------------------------------------------------------------------------------
-- One close of one period for all agreements of one cycle. Unique: a month cannot be closed twice.
CREATE TABLE close_run (
  tenant_id         uuid NOT NULL REFERENCES operator (tenant_id),
  id                uuid NOT NULL,
  cycle             text NOT NULL CHECK (cycle IN ('month', 'four-weeks', 'week')),
  starts_on         date NOT NULL,
  ends_before       date NOT NULL,
  agreement_count   integer NOT NULL,
  requested_by      text NOT NULL,
  requested_at      timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT close_run_once UNIQUE (tenant_id, cycle, starts_on)
);

-- The unit of work of a close, a review and an issue: a list of periods (to settle) or settlements, done in one transaction
-- each; rendering, which may be repeated, in several.
-- The row is locked while it is worked on and says when it is done, so that a second delivery of the same job does nothing.
CREATE TABLE work_batch (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  id           uuid NOT NULL,
  close_run_id uuid NOT NULL,
  task         text NOT NULL CHECK (task IN ('settle', 'review', 'number', 'render')),
  subject_ids  uuid[] NOT NULL,
  state        text NOT NULL CHECK (state IN ('waiting', 'done')),
  attempts     integer NOT NULL DEFAULT 0,
  done_count   integer NOT NULL DEFAULT 0,
  failures     jsonb NOT NULL DEFAULT '[]',
  requested_by text NOT NULL,
  created_at   timestamptz NOT NULL,
  finished_at  timestamptz,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, close_run_id) REFERENCES close_run (tenant_id, id),
  CONSTRAINT work_batch_done_has_its_time CHECK ((state = 'done') = (finished_at IS NOT NULL))
);
CREATE INDEX work_batch_by_run ON work_batch (tenant_id, close_run_id, task);
CREATE INDEX work_batch_waiting ON work_batch (tenant_id, created_at) WHERE state = 'waiting';

-- inputs and result are canonical JSON texts: byte for byte what the engine read and what it said, for good.
-- carries is the part of the result that the next settlement reads, kept apart so that it need not read the rest.
-- revision counts the changes while it is a draft; round tells a settlement from the one that was reversed before it.
-- Set at numbering: the number, issued_on (the operator's local day, whose year the number counts in), the digest of the
-- whole canonical settlement, and the head of the evidence log before its batch. That head is printed on the statement.
CREATE TABLE settlement (
  tenant_id           uuid NOT NULL REFERENCES operator (tenant_id),
  id                  uuid NOT NULL,
  agreement_id        uuid NOT NULL,
  site_id             uuid NOT NULL,
  period_id           uuid NOT NULL,
  close_run_id        uuid,
  starts_on           date NOT NULL,
  ends_before         date NOT NULL,
  round               integer NOT NULL DEFAULT 1 CHECK (round >= 1),
  revision            integer NOT NULL DEFAULT 1,
  kind                text NOT NULL CHECK (kind IN ('regular', 'final', 'supplementary')),
  state               text NOT NULL CHECK (state IN ('draft', 'reviewed', 'numbered', 'issued')),
  currency            text NOT NULL,
  engine_version      text NOT NULL,
  inputs              text NOT NULL,
  inputs_digest       bytea NOT NULL,
  result              text NOT NULL,
  result_digest       bytea NOT NULL,
  carries             text NOT NULL,
  takings_minor       bigint NOT NULL,
  refunds_minor       bigint NOT NULL,
  tax_minor           bigint NOT NULL,
  charges_minor       bigint NOT NULL,
  operator_share_minor bigint NOT NULL,
  site_share_minor    bigint NOT NULL,
  earlier_minor       bigint NOT NULL,
  payable_minor       bigint NOT NULL,
  number_year         integer,
  number_serial       integer,
  number              text,
  issued_on           date,
  digest              bytea,
  log_size            bigint,
  log_root            bytea,
  drafted_at          timestamptz NOT NULL,
  reviewed_at         timestamptz,
  reviewed_by         text,
  numbered_at         timestamptz,
  issued_at           timestamptz,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT settlement_once UNIQUE (tenant_id, agreement_id, starts_on, round),
  CONSTRAINT settlement_number_once UNIQUE (tenant_id, number_year, number_serial),
  FOREIGN KEY (tenant_id, agreement_id, site_id) REFERENCES agreement (tenant_id, id, site_id),
  FOREIGN KEY (tenant_id, site_id, currency) REFERENCES site (tenant_id, id, currency),
  FOREIGN KEY (tenant_id, period_id) REFERENCES period (tenant_id, id),
  FOREIGN KEY (tenant_id, close_run_id) REFERENCES close_run (tenant_id, id),
  CONSTRAINT settlement_state_has_its_facts CHECK (
    (state = 'draft'    AND reviewed_at IS NULL     AND number IS NULL     AND numbered_at IS NULL     AND issued_at IS NULL) OR
    (state = 'reviewed' AND reviewed_at IS NOT NULL AND number IS NULL     AND numbered_at IS NULL     AND issued_at IS NULL) OR
    (state = 'numbered' AND reviewed_at IS NOT NULL AND number IS NOT NULL AND digest IS NOT NULL AND numbered_at IS NOT NULL AND issued_at IS NULL) OR
    (state = 'issued'   AND reviewed_at IS NOT NULL AND number IS NOT NULL AND digest IS NOT NULL AND numbered_at IS NOT NULL AND issued_at IS NOT NULL))
);
CREATE INDEX settlement_by_period ON settlement (tenant_id, starts_on, state);
CREATE INDEX settlement_by_site ON settlement (tenant_id, site_id, starts_on);
CREATE INDEX settlement_by_run ON settlement (tenant_id, close_run_id);
CREATE INDEX settlement_of_period ON settlement (tenant_id, period_id);

CREATE TABLE settlement_line (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  settlement_id uuid NOT NULL,
  line_number   integer NOT NULL,
  period_starts_on date NOT NULL,
  step          text NOT NULL,
  kind          text NOT NULL,
  machine_id    uuid,
  party         text,
  amount_minor  bigint NOT NULL,
  PRIMARY KEY (tenant_id, settlement_id, line_number),
  FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id),
  FOREIGN KEY (tenant_id, machine_id) REFERENCES machine (tenant_id, id)
);
CREATE INDEX settlement_line_by_machine ON settlement_line (tenant_id, machine_id, period_starts_on) WHERE machine_id IS NOT NULL;

-- Who moved a settlement from state to state, when, and why.
CREATE TABLE settlement_event (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  settlement_id uuid NOT NULL,
  kind          text NOT NULL,
  note          text,
  happened_at   timestamptz NOT NULL,
  happened_by   text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id)
);
CREATE INDEX settlement_event_by_settlement ON settlement_event (tenant_id, settlement_id);

-- What changed the inputs of a period that was numbered already. It is settled, by difference, in a later settlement.
CREATE TABLE late_change (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  period_id   uuid NOT NULL,
  cause       text NOT NULL CHECK (cause IN ('collection', 'correction', 'terms', 'tax')),
  source_id   uuid NOT NULL,
  recorded_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, period_id, cause, source_id),
  FOREIGN KEY (tenant_id, period_id) REFERENCES period (tenant_id, id)
);

CREATE TABLE late_change_settled (
  tenant_id      uuid NOT NULL REFERENCES operator (tenant_id),
  late_change_id uuid NOT NULL,
  settlement_id  uuid NOT NULL,
  PRIMARY KEY (tenant_id, late_change_id),
  FOREIGN KEY (tenant_id, late_change_id) REFERENCES late_change (tenant_id, id),
  FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id)
);

-- Next serial of a gapless series, per local year of issue. Locked by the transaction that numbers, so a rollback leaves no gap.
CREATE TABLE number_counter (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  series      text NOT NULL CHECK (series IN ('statement')),
  year        integer NOT NULL,
  next_serial integer NOT NULL CHECK (next_serial >= 1),
  PRIMARY KEY (tenant_id, series, year)
);

------------------------------------------------------------------------------------------------------------------------
-- Journal
------------------------------------------------------------------------------------------------------------------------
CREATE TABLE journal_account (
  tenant_id uuid NOT NULL REFERENCES operator (tenant_id),
  code      text NOT NULL,
  kind      text NOT NULL CHECK (kind IN ('asset', 'liability', 'equity', 'income', 'expense')),
  name      text NOT NULL,
  PRIMARY KEY (tenant_id, code)
);

CREATE TABLE journal_entry (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  id              uuid NOT NULL,
  kind            text NOT NULL,
  source_id       uuid NOT NULL,
  accounting_date date NOT NULL,
  recorded_at     timestamptz NOT NULL,
  recorded_by     text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT journal_entry_once UNIQUE (tenant_id, kind, source_id)
);
CREATE INDEX journal_entry_by_date ON journal_entry (tenant_id, accounting_date);

-- Debits are positive, credits negative.
CREATE TABLE journal_posting (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  journal_entry_id uuid NOT NULL,
  position         integer NOT NULL,
  account_code     text NOT NULL,
  currency         text NOT NULL,
  amount_minor     bigint NOT NULL,
  PRIMARY KEY (tenant_id, journal_entry_id, position),
  FOREIGN KEY (tenant_id, journal_entry_id) REFERENCES journal_entry (tenant_id, id),
  FOREIGN KEY (tenant_id, account_code) REFERENCES journal_account (tenant_id, code)
);
CREATE INDEX journal_posting_by_account ON journal_posting (tenant_id, account_code);

-- Three checks together: no statement may leave an entry unbalanced (set-based, so a batch of thousands pays once), an entry is
-- written by one statement (so that nothing is added to an old one, not even what balances), and none may reach COMMIT
-- without postings.
CREATE FUNCTION app.refuse_unbalanced_postings() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  unbalanced uuid;
  added_to   uuid;
BEGIN
  -- EXECUTE, here and in the guards below: a plan kept from a time when the table was small reads all of it for each row.
  EXECUTE $query$
    SELECT posting.journal_entry_id
      FROM journal_posting posting
     WHERE (posting.tenant_id, posting.journal_entry_id) IN (SELECT tenant_id, journal_entry_id FROM written)
     GROUP BY posting.tenant_id, posting.journal_entry_id, posting.currency
    HAVING sum(posting.amount_minor) <> 0
     LIMIT 1 $query$ INTO unbalanced;
  IF unbalanced IS NOT NULL THEN
    RAISE EXCEPTION 'journal entry % does not balance', unbalanced
      USING ERRCODE = 'check_violation', CONSTRAINT = 'journal_entry_balances';
  END IF;
  EXECUTE $query$
    SELECT posting.journal_entry_id
      FROM journal_posting posting
     WHERE (posting.tenant_id, posting.journal_entry_id) IN (SELECT tenant_id, journal_entry_id FROM written)
       AND NOT EXISTS (SELECT FROM written w
                        WHERE w.tenant_id = posting.tenant_id AND w.journal_entry_id = posting.journal_entry_id AND w.position = posting.position)
     LIMIT 1 $query$ INTO added_to;
  IF added_to IS NOT NULL THEN
    RAISE EXCEPTION 'journal entry % is written already', added_to
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'journal_entry_is_immutable';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER journal_posting_balances AFTER INSERT ON journal_posting
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.refuse_unbalanced_postings();

CREATE FUNCTION app.refuse_empty_entry() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF NOT EXISTS (SELECT FROM journal_posting p WHERE p.tenant_id = NEW.tenant_id AND p.journal_entry_id = NEW.id) THEN
    RAISE EXCEPTION 'journal entry % has no postings', NEW.id
      USING ERRCODE = 'check_violation', CONSTRAINT = 'journal_entry_has_postings';
  END IF;
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER journal_entry_has_postings AFTER INSERT ON journal_entry
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION app.refuse_empty_entry();

------------------------------------------------------------------------------------------------------------------------
-- Evidence, certificates, statements
------------------------------------------------------------------------------------------------------------------------
-- Leaves of the operator's append-only log. `entry` is the exact canonical bytes that were hashed with the salt.
CREATE TABLE evidence_leaf (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  leaf_index  bigint NOT NULL CHECK (leaf_index >= 0),
  kind        text NOT NULL,
  subject_id  uuid NOT NULL,
  salt        bytea NOT NULL CHECK (length(salt) = 16),
  entry       bytea NOT NULL,
  leaf_hash   bytea NOT NULL CHECK (length(leaf_hash) = 32),
  recorded_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, leaf_index)
);
CREATE INDEX evidence_leaf_by_subject ON evidence_leaf (tenant_id, subject_id);

-- Every head that was ever reached. A head held outside can be looked up by its size.
CREATE TABLE evidence_head (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  size        bigint NOT NULL CHECK (size >= 1),
  root        bytea NOT NULL CHECK (length(root) = 32),
  recorded_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, size)
);

-- The growing edge of the tree: one row, locked FOR UPDATE by whoever appends, as the last thing before COMMIT.
CREATE TABLE evidence_frontier (
  tenant_id uuid NOT NULL REFERENCES operator (tenant_id),
  size      bigint NOT NULL CHECK (size >= 0),
  nodes     bytea[] NOT NULL,
  PRIMARY KEY (tenant_id)
);

CREATE TABLE signing_certificate (
  tenant_id          uuid NOT NULL REFERENCES operator (tenant_id),
  id                 uuid NOT NULL,
  source             text NOT NULL CHECK (source IN ('made-here', 'own')),
  certificate        bytea NOT NULL,
  chain              bytea[] NOT NULL DEFAULT '{}',
  fingerprint        bytea NOT NULL CHECK (length(fingerprint) = 32),
  sealed_private_key bytea NOT NULL,
  valid_from         timestamptz NOT NULL,
  valid_to           timestamptz NOT NULL,
  in_use_from        timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  UNIQUE (tenant_id, fingerprint)
);

-- The bytes that were issued.
CREATE TABLE statement (
  tenant_id       uuid NOT NULL REFERENCES operator (tenant_id),
  settlement_id   uuid NOT NULL,
  certificate_id  uuid NOT NULL,
  pdf             bytea NOT NULL,
  pdf_digest      bytea NOT NULL CHECK (length(pdf_digest) = 32),
  unsigned_digest bytea NOT NULL CHECK (length(unsigned_digest) = 32),
  stored_at       timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, settlement_id),
  FOREIGN KEY (tenant_id, settlement_id) REFERENCES settlement (tenant_id, id),
  FOREIGN KEY (tenant_id, certificate_id) REFERENCES signing_certificate (tenant_id, id)
);

------------------------------------------------------------------------------------------------------------------------
-- What must not change, refused by the database itself
------------------------------------------------------------------------------------------------------------------------
-- Once numbered, a settlement may only become issued. Everything before that may be recomputed or set back to draft.
CREATE FUNCTION app.guard_settlement() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  as_it_was settlement;
BEGIN
  IF TG_OP = 'UPDATE' AND OLD.state = 'numbered' AND NEW.state = 'issued' THEN
    as_it_was := NEW;
    as_it_was.state := OLD.state;
    as_it_was.issued_at := OLD.issued_at;
    as_it_was.revision := OLD.revision;
    IF as_it_was IS NOT DISTINCT FROM OLD THEN
      RETURN NEW;
    END IF;
  END IF;
  RAISE EXCEPTION 'settlement % has a number and cannot change', OLD.id
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'settlement_is_immutable';
END $$;
CREATE TRIGGER settlement_is_immutable BEFORE UPDATE OR DELETE ON settlement
  FOR EACH ROW WHEN (OLD.state IN ('numbered', 'issued')) EXECUTE FUNCTION app.guard_settlement();

-- Lines follow their settlement: they are written and replaced while it is a draft, never after.
CREATE FUNCTION app.guard_settlement_lines() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_fixed boolean;
BEGIN
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM touched JOIN settlement s ON s.tenant_id = touched.tenant_id AND s.id = touched.settlement_id
                    WHERE s.state <> 'draft') $query$ INTO is_fixed;
  IF is_fixed THEN
    RAISE EXCEPTION 'lines of a settlement that is no draft cannot change'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'settlement_line_is_immutable';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER settlement_line_insert_guard AFTER INSERT ON settlement_line
  REFERENCING NEW TABLE AS touched FOR EACH STATEMENT EXECUTE FUNCTION app.guard_settlement_lines();
CREATE TRIGGER settlement_line_delete_guard AFTER DELETE ON settlement_line
  REFERENCING OLD TABLE AS touched FOR EACH STATEMENT EXECUTE FUNCTION app.guard_settlement_lines();
-- Both sides of a change: a line may be moved out of a fixed settlement as well as into one.
CREATE TRIGGER settlement_line_update_guard AFTER UPDATE ON settlement_line
  REFERENCING NEW TABLE AS touched FOR EACH STATEMENT EXECUTE FUNCTION app.guard_settlement_lines();
CREATE TRIGGER settlement_line_move_guard AFTER UPDATE ON settlement_line
  REFERENCING OLD TABLE AS touched FOR EACH STATEMENT EXECUTE FUNCTION app.guard_settlement_lines();

-- An accepted collection is closed for entry. What is found later is a correction that names the count it replaces, or
-- a collection of its own.
CREATE FUNCTION app.guard_accepted_collection() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  RAISE EXCEPTION 'collection % is accepted and cannot change', OLD.id
    USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_is_accepted';
END $$;
CREATE TRIGGER collection_is_accepted BEFORE UPDATE OR DELETE ON collection
  FOR EACH ROW WHEN (OLD.state = 'accepted') EXECUTE FUNCTION app.guard_accepted_collection();

CREATE FUNCTION app.guard_collection_entries() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_accepted boolean;
BEGIN
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN collection c ON c.tenant_id = written.tenant_id AND c.id = written.collection_id
                    WHERE c.state = 'accepted') $query$ INTO is_accepted;
  IF is_accepted THEN
    RAISE EXCEPTION 'the collection is accepted and takes no more entries'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_is_accepted';
  END IF;
  RETURN NULL;
END $$;
CREATE FUNCTION app.guard_collection_counts() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
  is_accepted boolean;
  is_misplaced boolean;
BEGIN
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN collection c ON c.tenant_id = written.tenant_id AND c.id = written.collection_id
                    WHERE c.state = 'accepted' AND written.replaces_id IS NULL) $query$ INTO is_accepted;
  IF is_accepted THEN
    RAISE EXCEPTION 'the collection is accepted and takes no more counts, only corrections'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'collection_is_accepted';
  END IF;
  -- Asked first, so that files of many thousand counts, which correct none, need not be held against the table.
  IF NOT EXISTS (SELECT FROM written WHERE written.replaces_id IS NOT NULL) THEN
    RETURN NULL;
  END IF;
  -- Else a correction of one box would be a way to add a count to an accepted collection, or to take one out of another.
  EXECUTE $query$
    SELECT EXISTS (SELECT FROM written JOIN box_count replaced ON replaced.tenant_id = written.tenant_id AND replaced.id = written.replaces_id
                    WHERE (replaced.collection_id, replaced.placement_id, replaced.part) IS DISTINCT FROM
                          (written.collection_id, written.placement_id, written.part)) $query$ INTO is_misplaced;
  IF is_misplaced THEN
    RAISE EXCEPTION 'a correction takes the place of a count of the same box'
      USING ERRCODE = 'restrict_violation', CONSTRAINT = 'box_count_corrects_its_own';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER box_count_guard AFTER INSERT ON box_count
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.guard_collection_counts();
CREATE TRIGGER refund_slip_guard AFTER INSERT ON refund_slip
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.guard_collection_entries();
CREATE TRIGGER cash_handed_guard AFTER INSERT ON cash_handed
  REFERENCING NEW TABLE AS written FOR EACH STATEMENT EXECUTE FUNCTION app.guard_collection_entries();

------------------------------------------------------------------------------------------------------------------------
-- Row security, grants, audit trail
------------------------------------------------------------------------------------------------------------------------
-- Set-up is audited row by row. What is append-only, or keeps events of its own, is its own trail.
CALL app.make_tenant_table('tax_area', append_only => false, audited => true);
CALL app.make_tenant_table('tax_rule', append_only => false, audited => true);
CALL app.make_tenant_table('site', append_only => false, audited => true);
CALL app.make_tenant_table('party', append_only => false, audited => true);
-- Names of people must be erasable, so they stay out of a trail that is not.
CALL app.make_tenant_table('person', append_only => false, audited => true, not_recorded => '{name,email}');
CALL app.make_tenant_table('machine', append_only => false, audited => true);
CALL app.make_tenant_table('game', append_only => false, audited => true);
CALL app.make_tenant_table('placement', append_only => false, audited => true);
CALL app.make_tenant_table('installation', append_only => false, audited => true);
CALL app.make_tenant_table('agreement', append_only => false, audited => true);
CALL app.make_tenant_table('agreement_party', append_only => false, audited => true);
CALL app.make_tenant_table('agreement_version', append_only => false, audited => true);
CALL app.make_tenant_table('period', append_only => false, audited => false);
CALL app.make_tenant_table('import_file', append_only => false, audited => true);
CALL app.make_tenant_table('import_row', append_only => false, audited => false);
CALL app.make_tenant_table('import_error', append_only => false, audited => false);
CALL app.make_tenant_table('collection', append_only => false, audited => true);
CALL app.make_tenant_table('box_count', append_only => true, audited => false);
CALL app.make_tenant_table('refund_slip', append_only => true, audited => false);
CALL app.make_tenant_table('cash_handed', append_only => true, audited => false);
CALL app.make_tenant_table('close_run', append_only => false, audited => true);
CALL app.make_tenant_table('work_batch', append_only => false, audited => false);
CALL app.make_tenant_table('settlement', append_only => false, audited => false);
CALL app.make_tenant_table('settlement_line', append_only => false, audited => false);
CALL app.make_tenant_table('settlement_event', append_only => true, audited => false);
CALL app.make_tenant_table('late_change', append_only => true, audited => false);
CALL app.make_tenant_table('late_change_settled', append_only => true, audited => false);
CALL app.make_tenant_table('number_counter', append_only => false, audited => false);
CALL app.make_tenant_table('journal_account', append_only => true, audited => false);
CALL app.make_tenant_table('journal_entry', append_only => true, audited => false);
CALL app.make_tenant_table('journal_posting', append_only => true, audited => false);
CALL app.make_tenant_table('evidence_leaf', append_only => true, audited => false);
CALL app.make_tenant_table('evidence_head', append_only => true, audited => false);
CALL app.make_tenant_table('evidence_frontier', append_only => false, audited => false);
CALL app.make_tenant_table('signing_certificate', append_only => true, audited => false);
CALL app.make_tenant_table('statement', append_only => true, audited => false);

-- Nothing in the trade is deleted: it ends, is withdrawn, or is replaced. Only what waits outside the books may go.
REVOKE DELETE ON tax_area, tax_rule, site, party, person, machine, game, placement, installation, agreement, agreement_party,
  agreement_version, period, import_file, collection, close_run, work_batch, number_counter, evidence_frontier FROM latchledger_app;
REVOKE SELECT ON signing_certificate FROM latchledger_reader;
GRANT SELECT (tenant_id, id, source, certificate, chain, fingerprint, valid_from, valid_to, in_use_from) ON signing_certificate TO latchledger_reader;

DO $$
DECLARE
  target text;
BEGIN
  FOREACH target IN ARRAY ARRAY['tax_area', 'site', 'party', 'person', 'machine', 'game', 'placement', 'installation', 'agreement', 'collection', 'settlement'] LOOP
    EXECUTE format('CREATE TRIGGER count_revision BEFORE UPDATE ON %I FOR EACH ROW EXECUTE FUNCTION app.count_revision()', target);
  END LOOP;
END $$;
