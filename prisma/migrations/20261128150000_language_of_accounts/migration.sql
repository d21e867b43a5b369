-- The language that somebody chose for the console, kept with the account: another browser speaks it, too.
ALTER TABLE identity.user_account
  ADD COLUMN language text,
  ADD CONSTRAINT user_account_language_known CHECK (language IN ('en', 'de', 'es'));
COMMENT ON COLUMN identity.user_account.language IS 'Language of the console; null until one was chosen.';

CREATE FUNCTION identity.set_language(secret bytea, chosen text)
  RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    UPDATE identity.user_account a SET language = chosen
      FROM identity.session s WHERE s.secret_hash = secret AND a.id = s.account_id;
  END;

-- As it was, with the language beside the name.
DROP FUNCTION identity.session_by_secret(bytea, timestamptz, interval);
CREATE FUNCTION identity.session_by_secret(secret bytea, at timestamptz, idle interval)
  RETURNS TABLE (session_id uuid, account_id uuid, email text, name text, language text, second_factor text, has_second_factor boolean, memberships jsonb)
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  -- Once a minute is exact enough for an idle limit of hours, and spares a write per request.
  UPDATE identity.session s SET seen_at = at
   WHERE s.secret_hash = secret AND s.seen_at < at - interval '1 minute' AND s.seen_at > at - idle AND s.expires_at > at;
  RETURN QUERY
    SELECT s.id, a.id, a.email, a.name, a.language, s.second_factor, a.factor_confirmed_at IS NOT NULL,
           coalesce((SELECT jsonb_agg(jsonb_build_object(
                       'tenantId', m.tenant_id, 'code', o.code, 'name', o.name, 'role', m.role, 'personId', m.person_id,
                       'siteIds', to_jsonb(m.site_ids), 'secondFactorRequired', o.second_factor_required) ORDER BY o.code)
                      FROM identity.membership m JOIN public.operator o ON o.tenant_id = m.tenant_id
                     WHERE m.account_id = a.id), '[]')
      FROM identity.session s JOIN identity.user_account a ON a.id = s.account_id
     WHERE s.secret_hash = secret AND s.expires_at > at AND s.seen_at > at - idle;
END;
$$;

GRANT EXECUTE ON FUNCTION identity.set_language(bytea, text), identity.session_by_secret(bytea, timestamptz, interval) TO latchledger_app;
