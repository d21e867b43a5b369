-- As it was, with the language that somebody chose for the console: mails to them speak it, too.
DROP FUNCTION identity.members();
CREATE FUNCTION identity.members()
  RETURNS TABLE (account_id uuid, email text, name text, language text, role text, person_id uuid, site_ids uuid[], has_second_factor boolean,
                 revision integer, created_at timestamptz)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp
  BEGIN ATOMIC
    SELECT a.id, a.email, a.name, a.language, m.role, m.person_id, m.site_ids, a.factor_confirmed_at IS NOT NULL, m.revision, m.created_at
      FROM identity.membership m JOIN identity.user_account a ON a.id = m.account_id
     WHERE m.tenant_id = app.current_tenant();
  END;
GRANT EXECUTE ON FUNCTION identity.members() TO latchledger_app;
