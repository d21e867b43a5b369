-- The ground every later table stands on: who may see which rows, who changed what, and the two
-- tables (outbox, idempotency) that make retries harmless. Runs as latchledger_owner; the five
-- roles exist already (libs/database/roles.ts), because creating a role needs more than owning
-- a database.

CREATE EXTENSION IF NOT EXISTS btree_gist;

CREATE SCHEMA app;
CREATE SCHEMA identity;
-- The queue library creates its own tables here and asks that its role may create in the schema.
-- They carry no tenant column: a job names its tenant in its data and opens a tenant transaction.
CREATE SCHEMA bullmq;

REVOKE CREATE ON SCHEMA public FROM PUBLIC;

-- PostgreSQL lets PUBLIC execute every new function. With SECURITY DEFINER functions about, that
-- would be a hole by default: from here on a function is granted by name or not at all.
ALTER DEFAULT PRIVILEGES REVOKE EXECUTE ON FUNCTIONS FROM PUBLIC;
-- The backup role reads what the owner makes, now and later, and nothing else on the server
-- (pg_read_all_data would open other databases of a shared one).
ALTER DEFAULT PRIVILEGES GRANT SELECT ON TABLES TO latchledger_backup;
ALTER DEFAULT PRIVILEGES GRANT SELECT ON SEQUENCES TO latchledger_backup;
ALTER DEFAULT PRIVILEGES IN SCHEMA bullmq GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO latchledger_app;
ALTER DEFAULT PRIVILEGES IN SCHEMA bullmq GRANT USAGE, SELECT, UPDATE ON SEQUENCES TO latchledger_app;
ALTER DEFAULT PRIVILEGES IN SCHEMA bullmq GRANT EXECUTE ON FUNCTIONS TO latchledger_app;

GRANT USAGE ON SCHEMA app TO latchledger_app, latchledger_relay, latchledger_reader, latchledger_backup;
GRANT USAGE ON SCHEMA identity TO latchledger_app, latchledger_backup;
GRANT USAGE, CREATE ON SCHEMA bullmq TO latchledger_app;
GRANT USAGE ON SCHEMA bullmq TO latchledger_backup;
GRANT USAGE ON SCHEMA public TO latchledger_app, latchledger_relay, latchledger_reader, latchledger_backup;

-- The context of a transaction, set by withTenant for that transaction alone. ------------------

CREATE FUNCTION app.current_tenant() RETURNS uuid
  LANGUAGE sql STABLE PARALLEL SAFE
  -- Without SET or SECURITY DEFINER the planner inlines it, so that a policy becomes an index condition.
  RETURN nullif(current_setting('app.tenant', true), '')::uuid;
COMMENT ON FUNCTION app.current_tenant() IS 'Tenant of this transaction, null when none is set: then policies show no rows.';

CREATE FUNCTION app.current_actor() RETURNS text
  LANGUAGE sql STABLE PARALLEL SAFE
  RETURN nullif(current_setting('app.actor', true), '');
COMMENT ON FUNCTION app.current_actor() IS 'Who acts: user:<uuid>, token:<uuid> or system:<name of the job or command>.';

CREATE FUNCTION app.current_request() RETURNS text
  LANGUAGE sql STABLE PARALLEL SAFE
  RETURN nullif(current_setting('app.request', true), '');
COMMENT ON FUNCTION app.current_request() IS 'Id of the request or job that acts, as the logs name it.';

GRANT EXECUTE ON FUNCTION app.current_tenant(), app.current_actor(), app.current_request()
  TO latchledger_app, latchledger_relay, latchledger_reader, latchledger_backup;

-- Triggers. -----------------------------------------------------------------------------------

CREATE FUNCTION app.refuse_change() RETURNS trigger
  LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  -- A statement trigger: it speaks even where row security left no row to touch.
  RAISE EXCEPTION '% on "%" is refused', TG_OP, TG_TABLE_NAME
    USING ERRCODE = 'LL001', SCHEMA = TG_TABLE_SCHEMA, TABLE = TG_TABLE_NAME,
          HINT = CASE TG_OP
            WHEN 'TRUNCATE' THEN 'TRUNCATE passes by row security, so no tenant table allows it.'
            ELSE 'The table is append-only: a correction is a new row that names the old one.'
          END;
END;
$$;
COMMENT ON FUNCTION app.refuse_change() IS 'Refuses UPDATE, DELETE and TRUNCATE with SQLSTATE LL001.';

CREATE FUNCTION app.count_revision() RETURNS trigger
  LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  -- Counted here and not by the caller: an If-Match check is only as good as the last writer's discipline.
  NEW.revision := OLD.revision + 1;
  RETURN NEW;
END;
$$;
COMMENT ON FUNCTION app.count_revision() IS 'BEFORE UPDATE: raises the column revision by one; the ETag of the row.';

-- Tables. -------------------------------------------------------------------------------------

CREATE TABLE operator (
  tenant_id              uuid        NOT NULL,
  code                   text        NOT NULL,
  name                   text        NOT NULL,
  country                text        NOT NULL,
  currency               text        NOT NULL,
  locale                 text        NOT NULL,
  time_zone              text        NOT NULL,
  paper                  text        NOT NULL,
  address_lines          text[]      NOT NULL DEFAULT '{}',
  csv_decimal            text        NOT NULL DEFAULT 'point',
  second_factor_required boolean     NOT NULL DEFAULT false,
  settings               jsonb       NOT NULL DEFAULT '{}',
  revision               integer     NOT NULL DEFAULT 1,
  created_at             timestamptz NOT NULL DEFAULT now(),
  CONSTRAINT operator_pkey PRIMARY KEY (tenant_id),
  -- The one unique key over all tenants: a code names an operator on a command line. Only the
  -- command that creates operators writes it.
  CONSTRAINT operator_code_unique UNIQUE (code),
  CONSTRAINT operator_code_form CHECK (code ~ '^[a-z0-9]([a-z0-9-]{0,38}[a-z0-9])?$'),
  CONSTRAINT operator_name_length CHECK (char_length(name) BETWEEN 1 AND 200),
  CONSTRAINT operator_country_form CHECK (country ~ '^[A-Z]{2}$'),
  CONSTRAINT operator_currency_form CHECK (currency ~ '^[A-Z]{3}$'),
  CONSTRAINT operator_locale_form CHECK (locale ~ '^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$'),
  CONSTRAINT operator_time_zone_form CHECK (time_zone ~ '^[A-Za-z][A-Za-z0-9_+/-]{1,63}$'),
  CONSTRAINT operator_paper_known CHECK (paper IN ('A4', 'Letter')),
  CONSTRAINT operator_csv_decimal_known CHECK (csv_decimal IN ('point', 'comma')),
  CONSTRAINT operator_settings_object CHECK (jsonb_typeof(settings) = 'object')
);
COMMENT ON TABLE operator IS 'A route operator: the tenant itself.';
COMMENT ON COLUMN operator.csv_decimal IS 'Decimal sign of files that this operator uploads and downloads.';

CREATE TABLE audit_entry (
  tenant_id   uuid        NOT NULL,
  id          uuid        NOT NULL DEFAULT uuidv7(),
  recorded_at timestamptz NOT NULL DEFAULT now(),
  actor       text        NOT NULL,
  request_id  text,
  table_name  text        NOT NULL,
  row_id      text        NOT NULL,
  action      text        NOT NULL,
  before      jsonb,
  after       jsonb,
  CONSTRAINT audit_entry_pkey PRIMARY KEY (tenant_id, id),
  CONSTRAINT audit_entry_actor_form CHECK (actor ~ '^((user|token):[0-9a-f-]{36}|system:[a-z0-9][a-z0-9.:-]{0,79})$'),
  CONSTRAINT audit_entry_action_known CHECK (action IN ('insert', 'update', 'delete')),
  CONSTRAINT audit_entry_images CHECK (
    (before IS NULL) = (action = 'insert') AND (after IS NULL) = (action = 'delete'))
);
COMMENT ON TABLE audit_entry IS 'Who changed which row, when, within which request; update: changed columns only. Written by triggers alone.';
CREATE INDEX audit_entry_row ON audit_entry (tenant_id, table_name, row_id, id);

CREATE TABLE outbox (
  tenant_id  uuid        NOT NULL,
  id         uuid        NOT NULL DEFAULT uuidv7(),
  topic      text        NOT NULL,
  payload    jsonb       NOT NULL,
  created_at timestamptz NOT NULL DEFAULT now(),
  relayed_at timestamptz,
  CONSTRAINT outbox_pkey PRIMARY KEY (tenant_id, id),
  CONSTRAINT outbox_operator_fkey FOREIGN KEY (tenant_id) REFERENCES operator (tenant_id),
  CONSTRAINT outbox_topic_form CHECK (topic ~ '^[a-z][a-z0-9-]*(\.[a-z][a-z0-9-]*)*$')
);
COMMENT ON TABLE outbox IS 'Work to be done, written in the transaction that asks for it; the queue is only a wake-up.';
CREATE INDEX outbox_waiting ON outbox (created_at, id) WHERE relayed_at IS NULL;

CREATE TABLE idempotency_record (
  tenant_id  uuid        NOT NULL,
  -- Part of the key: a key that another user guessed must not replay somebody else's answer.
  actor      text        NOT NULL DEFAULT app.current_actor(),
  key        text        NOT NULL,
  route      text        NOT NULL,
  body_hash  bytea       NOT NULL,
  status     integer     NOT NULL,
  headers    jsonb       NOT NULL DEFAULT '{}',
  body       text        NOT NULL,
  created_at timestamptz NOT NULL DEFAULT now(),
  CONSTRAINT idempotency_record_pkey PRIMARY KEY (tenant_id, actor, key),
  CONSTRAINT idempotency_record_operator_fkey FOREIGN KEY (tenant_id) REFERENCES operator (tenant_id),
  CONSTRAINT idempotency_record_key_length CHECK (char_length(key) BETWEEN 1 AND 200),
  CONSTRAINT idempotency_record_hash_length CHECK (octet_length(body_hash) = 32),
  -- Failed requests store nothing, so that the client may mend and repeat them under the same key.
  CONSTRAINT idempotency_record_status_success CHECK (status BETWEEN 200 AND 299)
);
COMMENT ON TABLE idempotency_record IS 'Answer to a request that creates or moves something, kept 30 days for its repetition.';
CREATE INDEX idempotency_record_age ON idempotency_record (tenant_id, created_at);

CREATE TABLE operator_data_key (
  tenant_id     uuid        NOT NULL,
  id            uuid        NOT NULL DEFAULT uuidv7(),
  wrapped_key   bytea       NOT NULL,
  master_key_id text        NOT NULL,
  created_at    timestamptz NOT NULL DEFAULT now(),
  retired_at    timestamptz,
  CONSTRAINT operator_data_key_pkey PRIMARY KEY (tenant_id, id),
  CONSTRAINT operator_data_key_operator_fkey FOREIGN KEY (tenant_id) REFERENCES operator (tenant_id)
);
COMMENT ON TABLE operator_data_key IS 'Key that encrypts an operator''s secrets at rest, itself encrypted under the master key, which is never in the database.';
CREATE UNIQUE INDEX operator_data_key_one_in_use ON operator_data_key (tenant_id) WHERE retired_at IS NULL;

-- The audit trail. ----------------------------------------------------------------------------

-- SECURITY DEFINER, so that nobody else needs INSERT on audit_entry and no entry can be made up.
-- Row security stays in force on the way: the owner is under it as everybody is.
-- Arguments: key columns beside tenant_id; columns whose values stay out of the trail.
CREATE FUNCTION app.audit_row() RETURNS trigger
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  key_columns  text[] := TG_ARGV[0]::text[];
  not_recorded text[] := TG_ARGV[1]::text[];
  row_before   jsonb;
  row_after    jsonb;
  changed      text[];
  row_key      text;
BEGIN
  IF TG_OP <> 'INSERT' THEN row_before := to_jsonb(OLD); END IF;
  IF TG_OP <> 'DELETE' THEN row_after := to_jsonb(NEW); END IF;

  SELECT string_agg(coalesce(row_after, row_before) ->> key_column, '/' ORDER BY place)
    INTO row_key FROM unnest(key_columns) WITH ORDINALITY AS k (key_column, place);

  IF TG_OP = 'UPDATE' THEN
    SELECT array_agg(key) INTO changed
      FROM jsonb_each(row_before) WHERE value IS DISTINCT FROM row_after -> key;
    IF changed IS NULL THEN RETURN NULL; END IF;
  END IF;

  IF cardinality(not_recorded) > 0 THEN
    row_before := row_before || (SELECT coalesce(jsonb_object_agg(name, 'not recorded'), '{}')
      FROM unnest(not_recorded) AS name WHERE row_before ->> name IS NOT NULL);
    row_after := row_after || (SELECT coalesce(jsonb_object_agg(name, 'not recorded'), '{}')
      FROM unnest(not_recorded) AS name WHERE row_after ->> name IS NOT NULL);
  END IF;

  IF TG_OP = 'UPDATE' THEN
    SELECT jsonb_object_agg(name, row_before -> name), jsonb_object_agg(name, row_after -> name)
      INTO row_before, row_after FROM unnest(changed) AS name;
  END IF;

  -- NOT NULL on actor refuses a change that nobody signs for.
  INSERT INTO public.audit_entry (tenant_id, actor, request_id, table_name, row_id, action, before, after)
  VALUES (CASE WHEN TG_OP = 'DELETE' THEN OLD.tenant_id ELSE NEW.tenant_id END,
          app.current_actor(), app.current_request(), TG_TABLE_NAME,
          coalesce(row_key, app.current_tenant()::text), lower(TG_OP), row_before, row_after);
  RETURN NULL;
END;
$$;
COMMENT ON FUNCTION app.audit_row() IS 'AFTER row trigger: writes one audit_entry for a row that was inserted, changed or deleted.';

-- Everything a tenant table needs beyond its columns, in one call per table:
--   CALL app.make_tenant_table('site', append_only => false, audited => true);
-- `not_recorded` names columns (secrets, data that must be erasable) whose values stay out of the trail;
-- `counts_revision` makes the column revision the ETag of the row.
CREATE PROCEDURE app.make_tenant_table(
  target regclass, append_only boolean, audited boolean,
  not_recorded text[] DEFAULT '{}', counts_revision boolean DEFAULT false)
  LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  primary_key text[];
  unknown     text;
BEGIN
  SELECT array_agg(a.attname::text ORDER BY k.place) INTO primary_key
    FROM pg_constraint c
    CROSS JOIN LATERAL unnest(c.conkey) WITH ORDINALITY AS k (attnum, place)
    JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = k.attnum
   WHERE c.conrelid = target AND c.contype = 'p';
  IF primary_key[1] IS DISTINCT FROM 'tenant_id' THEN
    RAISE EXCEPTION 'the primary key of % must begin with tenant_id', target;
  END IF;
  SELECT name INTO unknown FROM unnest(not_recorded) AS name
   WHERE NOT EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = target AND a.attname = name AND a.attnum > 0);
  IF unknown IS NOT NULL THEN
    RAISE EXCEPTION '% has no column "%"', target, unknown;
  END IF;

  EXECUTE format('ALTER TABLE %s ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY', target);
  EXECUTE format('CREATE POLICY tenant ON %s USING (tenant_id = app.current_tenant())
                  WITH CHECK (tenant_id = app.current_tenant())', target);

  EXECUTE format('REVOKE ALL ON %s FROM PUBLIC, latchledger_app, latchledger_relay, latchledger_reader', target);
  EXECUTE format('GRANT SELECT ON %s TO latchledger_reader, latchledger_backup', target);
  EXECUTE format('GRANT %s ON %s TO latchledger_app',
                 CASE WHEN append_only THEN 'SELECT, INSERT' ELSE 'SELECT, INSERT, UPDATE, DELETE' END, target);

  -- Until the first ANALYZE the planner takes a tenant for one of two hundred, finds every index that begins with tenant_id
  -- equally good, and may look up a primary key by reading all of a tenant's rows. Foreign keys keep such plans for a session.
  PERFORM pg_restore_attribute_stats(
    'schemaname', (SELECT n.nspname FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace WHERE c.oid = target)::text,
    'relname', (SELECT c.relname FROM pg_class c WHERE c.oid = target)::text,
    'attname', 'tenant_id', 'inherited', false, 'null_frac', 0::real, 'avg_width', 16, 'n_distinct', 1::real);

  -- ALWAYS: the refusal holds under session_replication_role = replica, too.
  EXECUTE format('CREATE TRIGGER refuse_truncate BEFORE TRUNCATE ON %s
                  FOR EACH STATEMENT EXECUTE FUNCTION app.refuse_change()', target);
  EXECUTE format('ALTER TABLE %s ENABLE ALWAYS TRIGGER refuse_truncate', target);
  IF append_only THEN
    EXECUTE format('CREATE TRIGGER refuse_change BEFORE UPDATE OR DELETE ON %s
                    FOR EACH STATEMENT EXECUTE FUNCTION app.refuse_change()', target);
    EXECUTE format('ALTER TABLE %s ENABLE ALWAYS TRIGGER refuse_change', target);
  END IF;
  IF audited THEN
    EXECUTE format('CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON %s
                    FOR EACH ROW EXECUTE FUNCTION app.audit_row(%L, %L)',
                   target, array_remove(primary_key, 'tenant_id'), not_recorded);
  END IF;
  IF counts_revision THEN
    EXECUTE format('CREATE TRIGGER count_revision BEFORE UPDATE ON %s
                    FOR EACH ROW EXECUTE FUNCTION app.count_revision()', target);
  END IF;
END;
$$;
COMMENT ON PROCEDURE app.make_tenant_table(regclass, boolean, boolean, text[], boolean) IS
  'Puts a table under forced row security with its policy, grants, refusals and audit trail.';

CALL app.make_tenant_table('operator', append_only => false, audited => true, counts_revision => true);
CALL app.make_tenant_table('audit_entry', append_only => true, audited => false);
CALL app.make_tenant_table('outbox', append_only => false, audited => false);
CALL app.make_tenant_table('idempotency_record', append_only => false, audited => false);
CALL app.make_tenant_table('operator_data_key', append_only => false, audited => true, not_recorded => '{wrapped_key}');

-- What differs from the rule above, table by table. --------------------------------------------

REVOKE INSERT ON audit_entry FROM latchledger_app;
REVOKE DELETE ON operator FROM latchledger_app;
REVOKE DELETE ON operator_data_key FROM latchledger_app;
-- Stored answers and wrapped keys are nothing to report on.
REVOKE SELECT ON idempotency_record, operator_data_key FROM latchledger_reader;

-- The owner may list operators under no tenant: sign-in offers a person's operators by name, and
-- a data migration walks through all of them. It still changes none but the current one.
CREATE POLICY owner_lists ON operator FOR SELECT TO latchledger_owner USING (true);

-- The relay wakes the queue for every tenant, and learns that there is work of a topic: no payload.
REVOKE UPDATE ON outbox FROM latchledger_app;
CREATE POLICY relay_sees ON outbox FOR SELECT TO latchledger_relay USING (true);
CREATE POLICY relay_marks ON outbox FOR UPDATE TO latchledger_relay USING (true) WITH CHECK (true);
GRANT SELECT (tenant_id, id, topic, created_at, relayed_at), UPDATE (relayed_at) ON outbox TO latchledger_relay;

CREATE FUNCTION app.wake_relay() RETURNS trigger
  LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  -- Per statement and without a payload: PostgreSQL folds equal notifications of one transaction into one.
  PERFORM pg_notify('latchledger_outbox', '');
  RETURN NULL;
END;
$$;
COMMENT ON FUNCTION app.wake_relay() IS 'Notifies latchledger_outbox when work was written.';
CREATE TRIGGER wake_relay AFTER INSERT ON outbox
  FOR EACH STATEMENT EXECUTE FUNCTION app.wake_relay();

-- Over all tenants. ---------------------------------------------------------------------------

CREATE FUNCTION app.tenant_ids() RETURNS SETOF uuid
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    SELECT o.tenant_id FROM public.operator o ORDER BY o.tenant_id;
  END;
COMMENT ON FUNCTION app.tenant_ids() IS 'Ids of all operators, for jobs that sweep tenant by tenant.';
GRANT EXECUTE ON FUNCTION app.tenant_ids() TO latchledger_app;

-- Under FORCE the owner's own UPDATE silently finds no rows, so a migration that changes data says
--   CALL app.for_each_tenant('UPDATE site SET ...');
CREATE PROCEDURE app.for_each_tenant(statement text)
  LANGUAGE plpgsql AS $$
DECLARE
  tenant          uuid;
  actor_before    text := coalesce(current_setting('app.actor', true), '');
  tenant_before   text := coalesce(current_setting('app.tenant', true), '');
BEGIN
  PERFORM set_config('app.actor', 'system:migration', true);
  FOR tenant IN SELECT app.tenant_ids() LOOP
    PERFORM set_config('app.tenant', tenant::text, true);
    EXECUTE statement;
  END LOOP;
  PERFORM set_config('app.tenant', tenant_before, true);
  PERFORM set_config('app.actor', actor_before, true);
END;
$$;
COMMENT ON PROCEDURE app.for_each_tenant(text) IS 'Runs one statement once per tenant, with that tenant set, signed as system:migration.';
