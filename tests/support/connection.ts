import { Client } from 'pg';

/** Runs work on a connection of its own, as whoever the connection string names. */
export async function onConnection<Value>(url: string, work: (client: Client) => Promise<Value>): Promise<Value> {
  const client = new Client({ connectionString: url });
  await client.connect();
  try {
    return await work(client);
  } finally {
    await client.end();
  }
}
