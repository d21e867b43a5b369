-- People who sign in, what lets them in, and what they are at which operator.
--
-- An account may belong to several operators, so its rows cannot stand under one tenant's row security. Instead no
-- role but the owner may touch a table of this schema: the program calls the functions below, and each of them finds its
-- row by the hash of a secret that only its holder knows, or within the tenant of the transaction. A query that was
-- smuggled into the program finds nothing to list here.
--
-- Secrets are stored as SHA-256 of 32 random bytes (sessions, tokens, links: nothing to guess, so no slow hash is
-- needed), passwords as argon2id, the second factor's secret sealed under the master key. Times come from the caller.

CREATE TABLE identity.user_account (
  id                     uuid        NOT NULL,
  email                  text        NOT NULL,
  email_hash             bytea       NOT NULL,
  name                   text        NOT NULL,
  password_hash          text        NOT NULL,
  password_changed_at    timestamptz NOT NULL,
  sealed_factor_secret   bytea,
  factor_confirmed_at    timestamptz,
  -- Number of the last 30 second step that was accepted: a code serves once (RFC 6238 section 5.2).
  factor_last_step       bigint      NOT NULL DEFAULT 0,
  created_at             timestamptz NOT NULL,
  CONSTRAINT user_account_pkey PRIMARY KEY (id),
  CONSTRAINT user_account_email_unique UNIQUE (email_hash),
  CONSTRAINT user_account_email_length CHECK (char_length(email) BETWEEN 3 AND 254),
  CONSTRAINT user_account_email_hash_length CHECK (octet_length(email_hash) = 32),
  CONSTRAINT user_account_name_length CHECK (char_length(name) BETWEEN 1 AND 200),
  CONSTRAINT user_account_password_form CHECK (password_hash LIKE '$argon2id$%'),
  CONSTRAINT user_account_factor_has_secret CHECK (factor_confirmed_at IS NULL OR sealed_factor_secret IS NOT NULL)
);
COMMENT ON TABLE identity.user_account IS 'A person who may sign in. The hash of the lower-case address is what sign-in looks up.';

CREATE TABLE identity.recovery_code (
  account_id uuid        NOT NULL REFERENCES identity.user_account (id) ON DELETE CASCADE,
  code_hash  bytea       NOT NULL,
  used_at    timestamptz,
  CONSTRAINT recovery_code_pkey PRIMARY KEY (account_id, code_hash)
);
COMMENT ON TABLE identity.recovery_code IS 'Codes that each replace the second factor once, for a lost device.';

CREATE TABLE identity.membership (
  tenant_id  uuid        NOT NULL REFERENCES public.operator (tenant_id),
  account_id uuid        NOT NULL REFERENCES identity.user_account (id),
  role       text        NOT NULL,
  person_id  uuid,
  site_ids   uuid[]      NOT NULL DEFAULT '{}',
  revision   integer     NOT NULL DEFAULT 1,
  created_at timestamptz NOT NULL,
  CONSTRAINT membership_pkey PRIMARY KEY (tenant_id, account_id),
  CONSTRAINT membership_role_known CHECK (role IN
    ('owner', 'bookkeeper', 'collector', 'custodian', 'site-manager', 'reviewer', 'auditor')),
  -- A site manager without sites would see nothing; sites on any other role would promise a limit that nothing keeps.
  CONSTRAINT membership_sites CHECK ((role = 'site-manager') = (cardinality(site_ids) > 0))
);
COMMENT ON TABLE identity.membership IS 'What an account is at an operator. Site managers are bound to sites.';
CREATE INDEX membership_account ON identity.membership (account_id);

CREATE TABLE identity.session (
  id            uuid        NOT NULL,
  secret_hash   bytea       NOT NULL,
  account_id    uuid        NOT NULL REFERENCES identity.user_account (id) ON DELETE CASCADE,
  second_factor text        NOT NULL,
  address       text        NOT NULL,
  user_agent    text        NOT NULL,
  created_at    timestamptz NOT NULL,
  seen_at       timestamptz NOT NULL,
  expires_at    timestamptz NOT NULL,
  CONSTRAINT session_pkey PRIMARY KEY (id),
  CONSTRAINT session_secret_unique UNIQUE (secret_hash),
  CONSTRAINT session_secret_length CHECK (octet_length(secret_hash) = 32),
  CONSTRAINT session_second_factor_known CHECK (second_factor IN ('none', 'awaited', 'given'))
);
COMMENT ON TABLE identity.session IS 'One signed-in browser. `awaited`: the password was right, the code has not come yet.';
CREATE INDEX session_account ON identity.session (account_id);

CREATE TABLE identity.api_token (
  tenant_id    uuid        NOT NULL REFERENCES public.operator (tenant_id),
  id           uuid        NOT NULL,
  name         text        NOT NULL,
  role         text        NOT NULL,
  scopes       text[]      NOT NULL,
  secret_hash  bytea       NOT NULL,
  -- The first characters of the secret, so that people can tell which of their tokens a log or script means.
  hint         text        NOT NULL,
  created_by   text        NOT NULL,
  created_at   timestamptz NOT NULL,
  expires_at   timestamptz NOT NULL,
  last_used_at timestamptz,
  revoked_at   timestamptz,
  CONSTRAINT api_token_pkey PRIMARY KEY (tenant_id, id),
  CONSTRAINT api_token_secret_unique UNIQUE (secret_hash),
  CONSTRAINT api_token_secret_length CHECK (octet_length(secret_hash) = 32),
  CONSTRAINT api_token_name_length CHECK (char_length(name) BETWEEN 1 AND 200),
  CONSTRAINT api_token_role_known CHECK (role IN ('owner', 'bookkeeper', 'collector', 'custodian', 'reviewer', 'auditor')),
  CONSTRAINT api_token_has_scope CHECK (cardinality(scopes) > 0),
  CONSTRAINT api_token_expires CHECK (expires_at > created_at)
);
COMMENT ON TABLE identity.api_token IS 'A bearer token of one operator: its role, narrowed by its scopes.';

CREATE TABLE identity.one_use_link (
  tenant_id   uuid        NOT NULL REFERENCES public.operator (tenant_id),
  id          uuid        NOT NULL,
  kind        text        NOT NULL,
  secret_hash bytea       NOT NULL,
  email       text        NOT NULL,
  account_id  uuid        REFERENCES identity.user_account (id) ON DELETE CASCADE,
  role        text,
  person_id   uuid,
  site_ids    uuid[]      NOT NULL DEFAULT '{}',
  created_by  text        NOT NULL,
  created_at  timestamptz NOT NULL,
  expires_at  timestamptz NOT NULL,
  used_at     timestamptz,
  withdrawn_at timestamptz,
  CONSTRAINT one_use_link_pkey PRIMARY KEY (tenant_id, id),
  CONSTRAINT one_use_link_secret_unique UNIQUE (secret_hash),
  CONSTRAINT one_use_link_secret_length CHECK (octet_length(secret_hash) = 32),
  CONSTRAINT one_use_link_kind_known CHECK (kind IN ('invitation', 'new-password')),
  CONSTRAINT one_use_link_facts CHECK (
    (kind = 'invitation' AND role IS NOT NULL AND account_id IS NULL) OR
    (kind = 'new-password' AND role IS NULL AND account_id IS NOT NULL))
);
COMMENT ON TABLE identity.one_use_link IS 'An invitation, or leave to set a new password. Whoever has the link may use it once.';

CREATE TABLE identity.sign_in_attempt (
  id           uuid        NOT NULL,
  -- Hash of the address that was tried, whether or not an account has it: unknown addresses lock alike.
  subject_hash bytea       NOT NULL,
  address      text        NOT NULL,
  tried_at     timestamptz NOT NULL,
  succeeded    boolean     NOT NULL DEFAULT false,
  CONSTRAINT sign_in_attempt_pkey PRIMARY KEY (id)
);
COMMENT ON TABLE identity.sign_in_attempt IS 'Written as failed before the password is looked at, so that guesses sent at once count each.';
CREATE INDEX sign_in_attempt_subject ON identity.sign_in_attempt (subject_hash, tried_at);

-- Changes of who may do what belong in the operator's audit trail; secrets do not.
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON identity.membership
  FOR EACH ROW EXECUTE FUNCTION app.audit_row('{account_id}', '{}');
CREATE TRIGGER audit_row AFTER INSERT OR DELETE ON identity.api_token
  FOR EACH ROW EXECUTE FUNCTION app.audit_row('{id}', '{secret_hash}');
-- `last_used_at` is no change that somebody made.
CREATE TRIGGER audit_row_change AFTER UPDATE ON identity.api_token
  FOR EACH ROW WHEN (NEW.revoked_at IS DISTINCT FROM OLD.revoked_at) EXECUTE FUNCTION app.audit_row('{id}', '{secret_hash}');
CREATE TRIGGER audit_row AFTER INSERT OR UPDATE OR DELETE ON identity.one_use_link
  FOR EACH ROW EXECUTE FUNCTION app.audit_row('{id}', '{secret_hash,email}');
CREATE TRIGGER count_revision BEFORE UPDATE ON identity.membership
  FOR EACH ROW EXECUTE FUNCTION app.count_revision();

-- The reader reports on the trade; who may sign in is none of its business.
REVOKE ALL ON ALL TABLES IN SCHEMA identity FROM PUBLIC, latchledger_app, latchledger_relay, latchledger_reader;

------------------------------------------------------------------------------------------------------------------------
-- Signing in
------------------------------------------------------------------------------------------------------------------------

-- Seconds for which the subject is locked, 0 when it may try: then the attempt is on record as failed already.
-- The fifth failure in a row costs 30 seconds, each further one twice as long, up to an hour.
CREATE FUNCTION identity.begin_attempt(attempt_id uuid, subject bytea, from_address text, at timestamptz)
  RETURNS integer LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  failures  integer;
  last_at   timestamptz;
  locked_to timestamptz;
BEGIN
  -- One at a time per subject: a hundred guesses sent together are a hundred failures, not one.
  PERFORM pg_advisory_xact_lock(hashtextextended('sign-in:' || encode(subject, 'hex'), 0));
  SELECT count(*), max(a.tried_at) INTO failures, last_at
    FROM identity.sign_in_attempt a
   WHERE a.subject_hash = subject AND NOT a.succeeded AND a.tried_at > at - interval '24 hours'
     AND a.tried_at > coalesce((SELECT max(s.tried_at) FROM identity.sign_in_attempt s
                                 WHERE s.subject_hash = subject AND s.succeeded), '-infinity');
  IF failures >= 5 THEN
    locked_to := last_at + least(interval '30 seconds' * power(2, least(failures - 5, 7)), interval '1 hour');
    IF locked_to > at THEN
      RETURN ceil(extract(epoch FROM locked_to - at));
    END IF;
  END IF;
  INSERT INTO identity.sign_in_attempt (id, subject_hash, address, tried_at) VALUES (attempt_id, subject, from_address, at);
  RETURN 0;
END;
$$;
COMMENT ON FUNCTION identity.begin_attempt(uuid, bytea, text, timestamptz) IS 'Records an attempt as failed and returns 0, or the seconds that the subject is locked.';

CREATE FUNCTION identity.attempt_succeeded(attempt_id uuid)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    UPDATE identity.sign_in_attempt SET succeeded = true WHERE id = attempt_id;
  END;

CREATE FUNCTION identity.account_by_email(email_sha256 bytea)
  RETURNS TABLE (account_id uuid, password_hash text, has_second_factor boolean)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    SELECT a.id, a.password_hash, a.factor_confirmed_at IS NOT NULL
      FROM identity.user_account a WHERE a.email_hash = email_sha256;
  END;

CREATE FUNCTION identity.open_session(
  session_id uuid, secret bytea, account uuid, from_address text, agent text, at timestamptz, until timestamptz)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    INSERT INTO identity.session (id, secret_hash, account_id, second_factor, address, user_agent, created_at, seen_at, expires_at)
    SELECT session_id, secret, a.id, CASE WHEN a.factor_confirmed_at IS NULL THEN 'none' ELSE 'awaited' END,
           from_address, agent, at, at, until
      FROM identity.user_account a WHERE a.id = account;
  END;

-- The session with its account and all memberships: everything a request needs to know, in one look.
CREATE FUNCTION identity.session_by_secret(secret bytea, at timestamptz, idle interval)
  RETURNS TABLE (session_id uuid, account_id uuid, email text, name text, second_factor text, has_second_factor boolean, memberships jsonb)
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  -- Once a minute is exact enough for an idle limit of hours, and spares a write per request.
  UPDATE identity.session s SET seen_at = at
   WHERE s.secret_hash = secret AND s.seen_at < at - interval '1 minute' AND s.seen_at > at - idle AND s.expires_at > at;
  RETURN QUERY
    SELECT s.id, a.id, a.email, a.name, s.second_factor, a.factor_confirmed_at IS NOT NULL,
           coalesce((SELECT jsonb_agg(jsonb_build_object(
                       'tenantId', m.tenant_id, 'code', o.code, 'name', o.name, 'role', m.role, 'personId', m.person_id,
                       'siteIds', to_jsonb(m.site_ids), 'secondFactorRequired', o.second_factor_required) ORDER BY o.code)
                      FROM identity.membership m JOIN public.operator o ON o.tenant_id = m.tenant_id
                     WHERE m.account_id = a.id), '[]')
      FROM identity.session s JOIN identity.user_account a ON a.id = s.account_id
     WHERE s.secret_hash = secret AND s.expires_at > at AND s.seen_at > at - idle;
END;
$$;

CREATE FUNCTION identity.close_session(secret bytea)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    DELETE FROM identity.session WHERE secret_hash = secret;
  END;

-- All sessions of the account behind a session; `keep_this` leaves that one open.
CREATE FUNCTION identity.close_all_sessions(secret bytea, keep_this boolean)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    DELETE FROM identity.session s
     WHERE s.account_id = (SELECT own.account_id FROM identity.session own WHERE own.secret_hash = secret)
       AND NOT (keep_this AND s.secret_hash = secret);
  END;

-- A session that gains rights gets a new secret, so that one planted or seen before gains nothing.
CREATE FUNCTION identity.renew_session(secret bytea, new_secret bytea, factor text)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    UPDATE identity.session SET secret_hash = new_secret, second_factor = factor WHERE secret_hash = secret;
  END;

------------------------------------------------------------------------------------------------------------------------
-- The account behind a session
------------------------------------------------------------------------------------------------------------------------

CREATE FUNCTION identity.credentials_of_session(secret bytea)
  RETURNS TABLE (account_id uuid, password_hash text, sealed_factor_secret bytea, factor_confirmed boolean, factor_last_step bigint)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    SELECT a.id, a.password_hash, a.sealed_factor_secret, a.factor_confirmed_at IS NOT NULL, a.factor_last_step
      FROM identity.session s JOIN identity.user_account a ON a.id = s.account_id WHERE s.secret_hash = secret;
  END;

CREATE FUNCTION identity.set_password(secret bytea, new_password_hash text, at timestamptz)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    UPDATE identity.user_account a SET password_hash = new_password_hash, password_changed_at = at
      FROM identity.session s WHERE s.secret_hash = secret AND a.id = s.account_id;
  END;

-- Begins setting up a second factor; refuses (false) when one is in use, which must be removed first.
CREATE FUNCTION identity.propose_factor(secret bytea, sealed bytea)
  RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  UPDATE identity.user_account a SET sealed_factor_secret = sealed, factor_last_step = 0
    FROM identity.session s WHERE s.secret_hash = secret AND a.id = s.account_id AND a.factor_confirmed_at IS NULL;
  RETURN FOUND;
END;
$$;

CREATE FUNCTION identity.confirm_factor(secret bytea, step bigint, code_hashes bytea[], at timestamptz)
  RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  account uuid;
BEGIN
  UPDATE identity.user_account a SET factor_confirmed_at = at, factor_last_step = step
    FROM identity.session s
   WHERE s.secret_hash = secret AND a.id = s.account_id AND a.factor_confirmed_at IS NULL AND a.sealed_factor_secret IS NOT NULL
  RETURNING a.id INTO account;
  IF account IS NULL THEN RETURN false; END IF;
  DELETE FROM identity.recovery_code r WHERE r.account_id = account;
  INSERT INTO identity.recovery_code (account_id, code_hash) SELECT account, unnest(code_hashes);
  -- Sessions that the password alone opened may be somebody else's: whoever sets up a second factor may do so for that reason.
  DELETE FROM identity.session s WHERE s.account_id = account AND s.secret_hash <> secret;
  RETURN true;
END;
$$;

-- True once per step: a code that was watched being typed is worth nothing afterwards.
CREATE FUNCTION identity.use_factor_step(secret bytea, step bigint)
  RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  UPDATE identity.user_account a SET factor_last_step = step
    FROM identity.session s WHERE s.secret_hash = secret AND a.id = s.account_id AND a.factor_last_step < step;
  RETURN FOUND;
END;
$$;

CREATE FUNCTION identity.use_recovery_code(secret bytea, code bytea, at timestamptz)
  RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  UPDATE identity.recovery_code r SET used_at = at
    FROM identity.session s
   WHERE s.secret_hash = secret AND r.account_id = s.account_id AND r.code_hash = code AND r.used_at IS NULL;
  RETURN FOUND;
END;
$$;

CREATE FUNCTION identity.remove_factor(secret bytea)
  RETURNS void LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  account uuid := (SELECT s.account_id FROM identity.session s WHERE s.secret_hash = secret);
BEGIN
  UPDATE identity.user_account SET sealed_factor_secret = NULL, factor_confirmed_at = NULL, factor_last_step = 0 WHERE id = account;
  DELETE FROM identity.recovery_code WHERE account_id = account;
  UPDATE identity.session SET second_factor = 'none' WHERE account_id = account AND second_factor = 'given';
END;
$$;

------------------------------------------------------------------------------------------------------------------------
-- Members of the operator of this transaction
------------------------------------------------------------------------------------------------------------------------

CREATE FUNCTION identity.members()
  RETURNS TABLE (account_id uuid, email text, name text, role text, person_id uuid, site_ids uuid[], has_second_factor boolean,
                 revision integer, created_at timestamptz)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    SELECT a.id, a.email, a.name, m.role, m.person_id, m.site_ids, a.factor_confirmed_at IS NOT NULL, m.revision, m.created_at
      FROM identity.membership m JOIN identity.user_account a ON a.id = m.account_id
     WHERE m.tenant_id = app.current_tenant();
  END;

-- 'done', 'unknown', 'stale' (another revision) or 'last-owner'. A null `new_role` removes the member, and withdraws the
-- invitations to their address that are still open, with which they could come back.
CREATE FUNCTION identity.change_member(
  account uuid, expected_revision integer, new_role text, new_person uuid, new_sites uuid[], at timestamptz)
  RETURNS text LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  tenant uuid := app.current_tenant();
  found_row identity.membership;
BEGIN
  -- All owners at once, in one order: two owners who demote each other at the same moment must not both succeed.
  PERFORM FROM identity.membership m WHERE m.tenant_id = tenant AND (m.role = 'owner' OR m.account_id = account)
    ORDER BY m.account_id FOR UPDATE;
  SELECT * INTO found_row FROM identity.membership m WHERE m.tenant_id = tenant AND m.account_id = account;
  IF found_row.account_id IS NULL THEN RETURN 'unknown'; END IF;
  IF found_row.revision <> expected_revision THEN RETURN 'stale'; END IF;
  IF found_row.role = 'owner' AND new_role IS DISTINCT FROM 'owner' AND
     NOT EXISTS (SELECT FROM identity.membership m WHERE m.tenant_id = tenant AND m.role = 'owner' AND m.account_id <> account) THEN
    RETURN 'last-owner';
  END IF;
  IF new_role IS NULL THEN
    DELETE FROM identity.membership m WHERE m.tenant_id = tenant AND m.account_id = account;
    UPDATE identity.one_use_link l SET withdrawn_at = at
      FROM identity.user_account a
     WHERE l.tenant_id = tenant AND l.kind = 'invitation' AND l.used_at IS NULL AND l.withdrawn_at IS NULL AND l.expires_at > at
       AND a.id = account AND a.email_hash = sha256(convert_to(lower(l.email), 'UTF8'));
  ELSE
    UPDATE identity.membership m SET role = new_role, person_id = new_person, site_ids = new_sites
     WHERE m.tenant_id = tenant AND m.account_id = account;
  END IF;
  RETURN 'done';
END;
$$;

------------------------------------------------------------------------------------------------------------------------
-- One-use links
------------------------------------------------------------------------------------------------------------------------

CREATE FUNCTION identity.create_invitation(
  link_id uuid, secret bytea, to_email text, new_role text, new_person uuid, new_sites uuid[], at timestamptz, until timestamptz)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    INSERT INTO identity.one_use_link (tenant_id, id, kind, secret_hash, email, role, person_id, site_ids, created_by, created_at, expires_at)
    VALUES (app.current_tenant(), link_id, 'invitation', secret, to_email, new_role, new_person, new_sites, app.current_actor(), at, until);
  END;

-- 'done', 'unknown' or 'shared': an owner of one operator must not get at an account that also belongs to another.
CREATE FUNCTION identity.create_password_link(link_id uuid, secret bytea, account uuid, at timestamptz, until timestamptz)
  RETURNS text LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  IF NOT EXISTS (SELECT FROM identity.membership m WHERE m.tenant_id = app.current_tenant() AND m.account_id = account) THEN
    RETURN 'unknown';
  END IF;
  IF EXISTS (SELECT FROM identity.membership m WHERE m.tenant_id <> app.current_tenant() AND m.account_id = account) THEN
    RETURN 'shared';
  END IF;
  INSERT INTO identity.one_use_link (tenant_id, id, kind, secret_hash, email, account_id, created_by, created_at, expires_at)
  SELECT app.current_tenant(), link_id, 'new-password', secret, a.email, a.id, app.current_actor(), at, until
    FROM identity.user_account a WHERE a.id = account;
  RETURN 'done';
END;
$$;

CREATE FUNCTION identity.open_links(at timestamptz)
  RETURNS TABLE (id uuid, kind text, email text, role text, person_id uuid, site_ids uuid[], created_by text, created_at timestamptz, expires_at timestamptz)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    SELECT l.id, l.kind, l.email, l.role, l.person_id, l.site_ids, l.created_by, l.created_at, l.expires_at
      FROM identity.one_use_link l
     WHERE l.tenant_id = app.current_tenant() AND l.used_at IS NULL AND l.withdrawn_at IS NULL AND l.expires_at > at
       AND NOT EXISTS (SELECT FROM identity.user_account a WHERE a.id = l.account_id AND a.password_changed_at > l.created_at);
  END;

CREATE FUNCTION identity.withdraw_link(link_id uuid, at timestamptz)
  RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  UPDATE identity.one_use_link l SET withdrawn_at = at
   WHERE l.tenant_id = app.current_tenant() AND l.id = link_id AND l.used_at IS NULL AND l.withdrawn_at IS NULL AND l.expires_at > at;
  RETURN FOUND;
END;
$$;

CREATE FUNCTION identity.link_by_secret(secret bytea, at timestamptz)
  RETURNS TABLE (kind text, email text, operator_name text, has_account boolean)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    SELECT l.kind, l.email, o.name,
           EXISTS (SELECT FROM identity.user_account a WHERE a.email_hash = sha256(convert_to(lower(l.email), 'UTF8')))
      FROM identity.one_use_link l JOIN public.operator o ON o.tenant_id = l.tenant_id
     WHERE l.secret_hash = secret AND l.used_at IS NULL AND l.withdrawn_at IS NULL AND l.expires_at > at
       -- Whoever changed the password since does not need the link, and may not know that it exists.
       AND NOT EXISTS (SELECT FROM identity.user_account a WHERE a.id = l.account_id AND a.password_changed_at > l.created_at);
  END;

-- Uses the link up: makes the account unless its address has one, and the membership. Returns the account, null when the
-- link does not serve, as for a member: roles are changed by change_member, which keeps an owner. That the holder of an
-- existing account agrees is asked before, by their password.
CREATE FUNCTION identity.accept_invitation(secret bytea, new_account uuid, new_name text, new_password_hash text, at timestamptz)
  RETURNS uuid LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  link    identity.one_use_link;
  account uuid;
BEGIN
  SELECT * INTO link FROM identity.one_use_link l
   WHERE l.secret_hash = secret AND l.kind = 'invitation' AND l.used_at IS NULL AND l.withdrawn_at IS NULL AND l.expires_at > at
     FOR UPDATE;
  IF link.id IS NULL THEN RETURN NULL; END IF;
  INSERT INTO identity.user_account (id, email, email_hash, name, password_hash, password_changed_at, created_at)
  VALUES (new_account, link.email, sha256(convert_to(lower(link.email), 'UTF8')), new_name, new_password_hash, at, at)
  ON CONFLICT (email_hash) DO NOTHING;
  SELECT a.id INTO account FROM identity.user_account a WHERE a.email_hash = sha256(convert_to(lower(link.email), 'UTF8'));
  -- The new member signs for the change that the invitation allowed.
  PERFORM set_config('app.tenant', link.tenant_id::text, true), set_config('app.actor', 'user:' || account, true);
  INSERT INTO identity.membership (tenant_id, account_id, role, person_id, site_ids, created_at)
  VALUES (link.tenant_id, account, link.role, link.person_id, link.site_ids, at)
  ON CONFLICT (tenant_id, account_id) DO NOTHING;
  IF NOT FOUND THEN RETURN NULL; END IF;
  UPDATE identity.one_use_link l SET used_at = at WHERE l.tenant_id = link.tenant_id AND l.id = link.id;
  RETURN account;
END;
$$;

-- Uses the link up: new password, every session closed, the lock of failed attempts lifted. False when it does not serve.
CREATE FUNCTION identity.set_password_by_link(secret bytea, new_password_hash text, at timestamptz)
  RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
  link identity.one_use_link;
BEGIN
  SELECT * INTO link FROM identity.one_use_link l
   WHERE l.secret_hash = secret AND l.kind = 'new-password' AND l.used_at IS NULL AND l.withdrawn_at IS NULL AND l.expires_at > at
     FOR UPDATE;
  IF link.id IS NULL THEN RETURN false; END IF;
  -- Of two links only the first serves: the row is locked, so that two at once come one after the other.
  IF (SELECT a.password_changed_at > link.created_at FROM identity.user_account a WHERE a.id = link.account_id FOR UPDATE) THEN
    RETURN false;
  END IF;
  -- The account may have joined another operator since the link was made.
  IF EXISTS (SELECT FROM identity.membership m WHERE m.account_id = link.account_id AND m.tenant_id <> link.tenant_id) THEN
    RETURN false;
  END IF;
  PERFORM set_config('app.tenant', link.tenant_id::text, true), set_config('app.actor', 'user:' || link.account_id, true);
  UPDATE identity.one_use_link l SET used_at = at WHERE l.tenant_id = link.tenant_id AND l.id = link.id;
  UPDATE identity.user_account SET password_hash = new_password_hash, password_changed_at = at WHERE id = link.account_id;
  DELETE FROM identity.session WHERE account_id = link.account_id;
  DELETE FROM identity.sign_in_attempt a USING identity.user_account u
   WHERE u.id = link.account_id AND a.subject_hash = u.email_hash;
  RETURN true;
END;
$$;

------------------------------------------------------------------------------------------------------------------------
-- API tokens
------------------------------------------------------------------------------------------------------------------------

CREATE FUNCTION identity.create_api_token(
  token_id uuid, token_name text, token_role text, token_scopes text[], secret bytea, secret_hint text, at timestamptz, until timestamptz)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    INSERT INTO identity.api_token (tenant_id, id, name, role, scopes, secret_hash, hint, created_by, created_at, expires_at)
    VALUES (app.current_tenant(), token_id, token_name, token_role, token_scopes, secret, secret_hint, app.current_actor(), at, until);
  END;

CREATE FUNCTION identity.api_tokens()
  RETURNS TABLE (id uuid, name text, role text, scopes text[], hint text, created_by text, created_at timestamptz,
                 expires_at timestamptz, last_used_at timestamptz, revoked_at timestamptz)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    SELECT t.id, t.name, t.role, t.scopes, t.hint, t.created_by, t.created_at, t.expires_at, t.last_used_at, t.revoked_at
      FROM identity.api_token t WHERE t.tenant_id = app.current_tenant();
  END;

CREATE FUNCTION identity.revoke_api_token(token_id uuid, at timestamptz)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    UPDATE identity.api_token t SET revoked_at = at
     WHERE t.tenant_id = app.current_tenant() AND t.id = token_id AND t.revoked_at IS NULL;
  END;

CREATE FUNCTION identity.api_token_by_secret(secret bytea, at timestamptz)
  RETURNS TABLE (tenant_id uuid, operator_code text, token_id uuid, role text, scopes text[])
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  UPDATE identity.api_token t SET last_used_at = at
   WHERE t.secret_hash = secret AND t.revoked_at IS NULL AND t.expires_at > at
     AND (t.last_used_at IS NULL OR t.last_used_at < at - interval '1 minute');
  RETURN QUERY
    SELECT t.tenant_id, o.code, t.id, t.role, t.scopes
      FROM identity.api_token t JOIN public.operator o ON o.tenant_id = t.tenant_id
     WHERE t.secret_hash = secret AND t.revoked_at IS NULL AND t.expires_at > at;
END;
$$;

------------------------------------------------------------------------------------------------------------------------
-- Housekeeping
------------------------------------------------------------------------------------------------------------------------

-- Sessions and attempts that can no longer matter. Links and tokens stay: they say who let whom in.
CREATE FUNCTION identity.forget_expired(at timestamptz)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    DELETE FROM identity.session WHERE expires_at < at - interval '1 day';
    DELETE FROM identity.sign_in_attempt WHERE tried_at < at - interval '30 days';
  END;

GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA identity TO latchledger_app;
