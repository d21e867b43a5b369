// Each query gives rows of a name and a value, sorted by name in byte order so that every server agrees.

const OUR_SCHEMAS = `('public', 'app', 'identity')`;

/** {role: rights} out of an access control list; the owner's own rights say nothing. */
const grantsOf = (acl: string, owner: string): string => `
  (SELECT coalesce(jsonb_object_agg(granted.grantee, granted.rights), '{}') FROM (
     SELECT coalesce(pg_get_userbyid(nullif(entry.grantee, 0)), 'PUBLIC') AS grantee,
            string_agg(entry.privilege_type || CASE WHEN entry.is_grantable THEN ' (grantable)' ELSE '' END, ', '
                       ORDER BY entry.privilege_type COLLATE "C") AS rights
       FROM aclexplode(${acl}) AS entry WHERE entry.grantee <> ${owner} GROUP BY 1) AS granted)`;

const belongsToExtension = (catalogue: string, oid: string): string =>
  `EXISTS (SELECT FROM pg_depend WHERE classid = '${catalogue}'::regclass AND objid = ${oid} AND deptype = 'e')`;

/** {name: definition} out of a query that gives the two. */
const named = (query: string): string =>
  `(SELECT coalesce(jsonb_object_agg(item.name, item.definition), '{}') FROM (${query}) AS item)`;

export const roles = `
  SELECT rolname::text COLLATE "C" AS name,
         concat_ws(' ', CASE WHEN rolcanlogin THEN 'LOGIN' ELSE 'NOLOGIN' END, CASE WHEN rolsuper THEN 'SUPERUSER' END,
           CASE WHEN rolbypassrls THEN 'BYPASSRLS' END, CASE WHEN rolcreaterole THEN 'CREATEROLE' END,
           CASE WHEN rolcreatedb THEN 'CREATEDB' END, CASE WHEN rolreplication THEN 'REPLICATION' END,
           'MEMBER OF ' || nullif((SELECT string_agg(pg_get_userbyid(roleid), ', ' ORDER BY roleid) FROM pg_auth_members WHERE member = oid), ''),
           'SET ' || array_to_string(ARRAY(SELECT setting FROM unnest(rolconfig) AS setting ORDER BY setting COLLATE "C"), ', ')) AS value
    FROM pg_roles WHERE rolname LIKE 'latchledger\\_%' ORDER BY 1`;

export const schemas = `
  SELECT nspname::text COLLATE "C" AS name,
         jsonb_build_object('owner', pg_get_userbyid(nspowner), 'grants', ${grantsOf('nspacl', 'nspowner')}) AS value
    FROM pg_namespace WHERE nspname IN ('public', 'app', 'identity', 'bullmq') ORDER BY 1`;

export const extensions = `
  SELECT extname::text COLLATE "C" AS name, true AS value FROM pg_extension ORDER BY 1`;

export const defaultGrants = `
  SELECT concat_ws(' ', pg_get_userbyid(defaclrole), 'in', CASE defaclnamespace WHEN 0 THEN 'every schema' ELSE defaclnamespace::regnamespace::text END,
                   CASE defaclobjtype WHEN 'r' THEN 'tables' WHEN 'S' THEN 'sequences' WHEN 'f' THEN 'functions' WHEN 'T' THEN 'types' WHEN 'n' THEN 'schemas' END) COLLATE "C" AS name,
         ${grantsOf('defaclacl', 'defaclrole')} AS value
    FROM pg_default_acl ORDER BY 1`;

const columns = named(`
  SELECT attname AS name, concat_ws(' ', format_type(atttypid, atttypmod), CASE WHEN attnotnull THEN 'not null' END,
           'default ' || (SELECT pg_get_expr(adbin, adrelid) FROM pg_attrdef WHERE adrelid = attrelid AND adnum = attnum)) AS definition
    FROM pg_attribute WHERE attrelid = t.oid AND attnum > 0 AND NOT attisdropped`);

const constraints = named(`
  SELECT conname AS name, pg_get_constraintdef(oid) AS definition FROM pg_constraint WHERE conrelid = t.oid AND contype <> 'n'`);

const indexes = named(`
  SELECT (SELECT relname FROM pg_class WHERE oid = indexrelid) AS name, pg_get_indexdef(indexrelid) AS definition FROM pg_index
   WHERE indrelid = t.oid AND NOT EXISTS (SELECT FROM pg_constraint WHERE conindid = indexrelid AND conrelid = t.oid)`);

const policies = named(`
  SELECT polname AS name, concat_ws(' ', CASE WHEN polpermissive THEN 'permissive' ELSE 'restrictive' END,
           CASE polcmd WHEN '*' THEN 'all' WHEN 'r' THEN 'select' WHEN 'a' THEN 'insert' WHEN 'w' THEN 'update' WHEN 'd' THEN 'delete' END,
           'to', CASE WHEN polroles = '{0}' THEN 'PUBLIC' ELSE array_to_string(polroles::regrole[], ', ') END,
           'using ' || pg_get_expr(polqual, polrelid), 'check ' || pg_get_expr(polwithcheck, polrelid)) AS definition
    FROM pg_policy WHERE polrelid = t.oid`);

const triggers = named(`
  SELECT tgname AS name, pg_get_triggerdef(oid) || CASE tgenabled WHEN 'O' THEN '' WHEN 'A' THEN ' [always]' ELSE ' [disabled]' END AS definition
    FROM pg_trigger WHERE tgrelid = t.oid AND NOT tgisinternal`);

const tableGrants = named(`
  SELECT coalesce(pg_get_userbyid(nullif(grantee, 0)), 'PUBLIC') AS name, string_agg(entry, ', ' ORDER BY entry COLLATE "C") AS definition
    FROM (SELECT grantee, privilege_type AS entry FROM aclexplode(t.relacl)
          UNION ALL
          SELECT grantee, privilege_type || ' (' || string_agg(attname, ', ' ORDER BY attnum) || ')'
            FROM pg_attribute CROSS JOIN LATERAL aclexplode(attacl)
           WHERE attrelid = t.oid AND attnum > 0 GROUP BY grantee, privilege_type) AS entries
   WHERE grantee <> t.relowner GROUP BY grantee`);

export const tables = `
  SELECT concat(t.relnamespace::regnamespace, '.', t.relname) COLLATE "C" AS name,
         jsonb_build_object(
           'owner', pg_get_userbyid(t.relowner),
           'rowSecurity', CASE WHEN t.relforcerowsecurity AND t.relrowsecurity THEN 'forced' WHEN t.relrowsecurity THEN 'enabled' ELSE 'off' END,
           'columns', ${columns}, 'constraints', ${constraints}, 'indexes', ${indexes},
           'policies', ${policies}, 'triggers', ${triggers}, 'grants', ${tableGrants}) AS value
    FROM pg_class t
   WHERE t.relnamespace::regnamespace::text IN ${OUR_SCHEMAS} AND t.relkind IN ('r', 'p', 'v', 'm', 'f')
     AND NOT ${belongsToExtension('pg_class', 't.oid')} ORDER BY 1`;

export const functions = `
  SELECT concat(f.pronamespace::regnamespace, '.', f.proname, '(', pg_get_function_identity_arguments(f.oid), ')') COLLATE "C" AS name,
         jsonb_build_object(
           'owner', pg_get_userbyid(f.proowner),
           'kind', CASE f.prokind WHEN 'p' THEN 'procedure' ELSE 'function' END,
           'returns', coalesce(pg_get_function_result(f.oid), ''),
           'runsAs', CASE WHEN f.prosecdef THEN 'owner' ELSE 'caller' END,
           'settings', to_jsonb(coalesce(f.proconfig, '{}')),
           'mayExecute', (SELECT coalesce(jsonb_agg(role ORDER BY role COLLATE "C"), '[]') FROM (
              SELECT coalesce(pg_get_userbyid(nullif(grantee, 0)), 'PUBLIC')::text AS role
                FROM aclexplode(coalesce(f.proacl, acldefault('f', f.proowner))) WHERE grantee <> f.proowner) AS granted),
           'digest', encode(sha256(convert_to(pg_get_functiondef(f.oid), 'UTF8')), 'hex')) AS value
    FROM pg_proc f
   WHERE f.pronamespace::regnamespace::text IN ${OUR_SCHEMAS}
     AND NOT ${belongsToExtension('pg_proc', 'f.oid')} ORDER BY 1`;
