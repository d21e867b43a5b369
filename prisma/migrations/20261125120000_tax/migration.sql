-- Limits of the law of a tax area: what an agreement there must not say. Dated rows with their published source, as the
-- taxes of the area are.
CREATE TABLE law_limit (
  tenant_id        uuid NOT NULL REFERENCES operator (tenant_id),
  id               uuid NOT NULL,
  tax_area_id      uuid NOT NULL,
  kind             text NOT NULL CHECK (kind IN ('highest-site-share', 'fixed-split', 'no-advances')),
  site_percent     numeric(12, 9) CHECK (site_percent BETWEEN 0 AND 100),
  operator_percent numeric(12, 9) CHECK (operator_percent BETWEEN 0 AND 100),
  -- A limit is named by its source when something is refused because of it, so there must be one.
  source           text NOT NULL CHECK (source <> ''),
  valid_from       date NOT NULL,
  valid_to         date,
  created_at       timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, tax_area_id) REFERENCES tax_area (tenant_id, id),
  CONSTRAINT law_limit_dates CHECK (valid_to > valid_from),
  CONSTRAINT law_limit_has_its_figures CHECK (
    (kind = 'highest-site-share') = (site_percent IS NOT NULL AND operator_percent IS NULL) AND
    (kind = 'fixed-split') = (site_percent IS NOT NULL AND operator_percent IS NOT NULL AND site_percent + operator_percent <= 100) AND
    (kind = 'no-advances') = (site_percent IS NULL AND operator_percent IS NULL)),
  -- Two wordings of one limit on one day would make what is allowed depend on which was read first.
  CONSTRAINT law_limit_once_a_day EXCLUDE USING gist
    (tenant_id WITH =, tax_area_id WITH =, kind WITH =, daterange(valid_from, valid_to, '[)') WITH &&)
);
CALL app.make_tenant_table('law_limit', append_only => false, audited => true);
REVOKE DELETE ON law_limit FROM latchledger_app;

-- Returns as they were filed, one area and calendar month: the figures, and what settlements had booked by then. A return
-- is never changed; what turns out later is the next one of the month.
CREATE TABLE tax_return (
  tenant_id    uuid NOT NULL REFERENCES operator (tenant_id),
  id           uuid NOT NULL,
  tax_area_id  uuid NOT NULL,
  month        date NOT NULL CHECK (extract(day FROM month) = 1),
  position     integer NOT NULL CHECK (position >= 1),
  -- 'amended': the tax is another one than filed before; 'booking': only what settlements booked of it is.
  kind         text NOT NULL CHECK (kind IN ('original', 'amended', 'booking')),
  currency     text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
  tax_minor    bigint NOT NULL,
  booked_minor bigint NOT NULL,
  -- Negative tax that the next month's return may set off, by tax.
  carried      jsonb NOT NULL,
  figures      jsonb NOT NULL,
  digest       bytea NOT NULL CHECK (length(digest) = 32),
  filed_on     date NOT NULL,
  reference    text NOT NULL DEFAULT '',
  note         text NOT NULL DEFAULT '',
  recorded_at  timestamptz NOT NULL,
  recorded_by  text NOT NULL,
  PRIMARY KEY (tenant_id, id),
  FOREIGN KEY (tenant_id, tax_area_id) REFERENCES tax_area (tenant_id, id),
  CONSTRAINT tax_return_once UNIQUE (tenant_id, tax_area_id, month, position),
  CONSTRAINT tax_return_kinds CHECK ((position = 1) = (kind = 'original')),
  CONSTRAINT tax_return_after_month CHECK (filed_on >= month + interval '1 month')
);
CALL app.make_tenant_table('tax_return', append_only => true, audited => false);
