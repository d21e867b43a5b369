-- Addresses of the operator's other programs that are told when something happens. One is never dropped, since what was sent to it
-- names it; removed, it gets nothing more and its secrets are gone.
CREATE TABLE webhook (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  name        text NOT NULL CHECK (name <> ''),
  url         text NOT NULL CHECK (url ~ '^https?://'),
  event_types text[] NOT NULL CHECK (cardinality(event_types) > 0),
  state       text NOT NULL DEFAULT 'on' CHECK (state IN ('on', 'off', 'removed')),
  -- Why it gets nothing: somebody said so, it failed for days, or its server said that it is gone (410).
  off_reason  text CHECK (off_reason IN ('switched-off', 'failing', 'gone')),
  changed_at  timestamptz NOT NULL,
  created_at  timestamptz NOT NULL,
  created_by  text NOT NULL,
  revision    integer NOT NULL DEFAULT 1,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT webhook_off_for_a_reason CHECK ((state = 'off') = (off_reason IS NOT NULL))
);

-- What requests to it are signed with: while a secret is being replaced, the old one, too. Sealed under the operator's data key.
CREATE TABLE webhook_secret (
  tenant_id     uuid NOT NULL REFERENCES operator (tenant_id),
  id            uuid NOT NULL,
  webhook_id    uuid NOT NULL,
  sealed_secret bytea NOT NULL,
  data_key_id   uuid NOT NULL,
  created_at    timestamptz NOT NULL,
  created_by    text NOT NULL,
  ends_at       timestamptz CHECK (ends_at > created_at),
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT webhook_secret_webhook FOREIGN KEY (tenant_id, webhook_id) REFERENCES webhook (tenant_id, id),
  CONSTRAINT webhook_secret_data_key FOREIGN KEY (tenant_id, data_key_id) REFERENCES operator_data_key (tenant_id, id)
);
CREATE UNIQUE INDEX webhook_secret_one_lasts ON webhook_secret (tenant_id, webhook_id) WHERE ends_at IS NULL;

-- What happened and somebody wants to be told, written in the transaction in which it happened. `subject_id` is the thing that it happened
-- to, `cause_id` what made it happen, where that can be more than once: one event of each, however often the work is repeated. The
-- body is made afterwards, once, so that every attempt sends the same bytes.
CREATE TABLE webhook_event (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  type        text NOT NULL CHECK (type ~ '^[a-z][a-z_]*\.[a-z][a-z_]*$'),
  subject_id  uuid NOT NULL,
  cause_id    uuid NOT NULL,
  happened_at timestamptz NOT NULL,
  body        text CHECK (body <> ''),
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT webhook_event_once UNIQUE (tenant_id, type, subject_id, cause_id)
);
CREATE INDEX webhook_event_waiting ON webhook_event (tenant_id, happened_at, id) WHERE body IS NULL;
CREATE INDEX webhook_event_by_time ON webhook_event (tenant_id, happened_at, id);

-- One event on its way to one address. `held`: it was off when it happened. `attempts` are all that were begun, `asked_after` how many of
-- them were made before it was last asked for: the table of pauses begins anew there.
CREATE TABLE webhook_delivery (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  id          uuid NOT NULL,
  event_id    uuid NOT NULL,
  webhook_id  uuid NOT NULL,
  state       text NOT NULL CHECK (state IN ('waiting', 'sending', 'delivered', 'failed', 'held')),
  attempts    integer NOT NULL DEFAULT 0 CHECK (attempts >= 0),
  asked_after integer NOT NULL DEFAULT 0 CHECK (asked_after BETWEEN 0 AND attempts),
  due_at      timestamptz,
  changed_at  timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, id),
  CONSTRAINT webhook_delivery_once UNIQUE (tenant_id, event_id, webhook_id),
  CONSTRAINT webhook_delivery_event FOREIGN KEY (tenant_id, event_id) REFERENCES webhook_event (tenant_id, id),
  CONSTRAINT webhook_delivery_webhook FOREIGN KEY (tenant_id, webhook_id) REFERENCES webhook (tenant_id, id),
  CONSTRAINT webhook_delivery_due CHECK ((state = 'waiting') = (due_at IS NOT NULL)),
  CONSTRAINT webhook_delivery_tried CHECK (attempts > 0 OR state IN ('waiting', 'held'))
);
CREATE INDEX webhook_delivery_due_next ON webhook_delivery (tenant_id, due_at) WHERE state = 'waiting';
CREATE INDEX webhook_delivery_on_its_way ON webhook_delivery (tenant_id, changed_at) WHERE state = 'sending';
CREATE INDEX webhook_delivery_by_webhook ON webhook_delivery (tenant_id, webhook_id, id);

-- What came of each attempt: an answer with its first characters, or why there was none.
CREATE TABLE webhook_attempt (
  tenant_id   uuid NOT NULL REFERENCES operator (tenant_id),
  delivery_id uuid NOT NULL,
  number      integer NOT NULL CHECK (number > 0),
  begun_at    timestamptz NOT NULL,
  duration_ms integer NOT NULL CHECK (duration_ms >= 0),
  status      integer CHECK (status BETWEEN 100 AND 999),
  failure     text CHECK (failure ~ '^[a-z]+(-[a-z]+)*$'),
  answer      text NOT NULL DEFAULT '',
  PRIMARY KEY (tenant_id, delivery_id, number),
  CONSTRAINT webhook_attempt_delivery FOREIGN KEY (tenant_id, delivery_id) REFERENCES webhook_delivery (tenant_id, id),
  CONSTRAINT webhook_attempt_answered_or_not CHECK (num_nonnulls(status, failure) = 1)
);

-- Mails to owners about an address that takes nothing.
CREATE TABLE webhook_mail (
  tenant_id  uuid NOT NULL REFERENCES operator (tenant_id),
  webhook_id uuid NOT NULL,
  about      text NOT NULL CHECK (about IN ('failed', 'switched-off')),
  about_at   timestamptz NOT NULL,
  account_id uuid NOT NULL,
  state      text NOT NULL CHECK (state IN ('waiting', 'sending', 'sent', 'refused', 'unclear', 'left-out')),
  attempts   integer NOT NULL DEFAULT 0 CHECK (attempts >= 0),
  changed_at timestamptz NOT NULL,
  PRIMARY KEY (tenant_id, webhook_id, about, about_at, account_id),
  CONSTRAINT webhook_mail_webhook FOREIGN KEY (tenant_id, webhook_id) REFERENCES webhook (tenant_id, id),
  CONSTRAINT webhook_mail_tried CHECK (attempts > 0 OR state IN ('waiting', 'left-out'))
);

CALL app.make_tenant_table('webhook', append_only => false, audited => true, counts_revision => true);
CALL app.make_tenant_table('webhook_secret', append_only => false, audited => true, not_recorded => '{sealed_secret}');
CALL app.make_tenant_table('webhook_event', append_only => false, audited => false);
CALL app.make_tenant_table('webhook_delivery', append_only => false, audited => false);
CALL app.make_tenant_table('webhook_attempt', append_only => false, audited => false);
CALL app.make_tenant_table('webhook_mail', append_only => false, audited => false);
CALL app.make_texts_erasable('webhook', '{name}');

REVOKE DELETE ON webhook FROM latchledger_app;
REVOKE SELECT ON webhook_secret FROM latchledger_reader;
GRANT SELECT (tenant_id, id, webhook_id, data_key_id, created_at, created_by, ends_at) ON webhook_secret TO latchledger_reader;
