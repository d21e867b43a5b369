import { onConnection, type TestDatabase } from './database';

/**
 * Lets time that a test invents count as the present where records are removed. Only the owner of the tables can: the application's
 * role cannot replace the function that asks the clock of the database and the audit trail.
 * Gives the statement that makes it again what it was.
 */
export async function trustAnyClock(db: Pick<TestDatabase, 'urls'>): Promise<string> {
  return onConnection(db.urls.owner, async (client) => {
    const { rows } = await client.query<{ definition: string }>(`SELECT pg_get_functiondef('app.refuse_doubtful_clock(timestamptz)'::regprocedure) AS definition`);
    await client.query(`CREATE OR REPLACE FUNCTION app.refuse_doubtful_clock(at timestamptz) RETURNS void LANGUAGE sql SECURITY DEFINER SET search_path = pg_catalog, pg_temp RETURN NULL::void`);
    return rows[0]?.definition ?? '';
  });
}
