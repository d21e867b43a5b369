import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { escapeIdentifier } from 'pg';
import { from as copyFrom, to as copyTo } from 'pg-copy-streams';
import { roleName, urlsForRoles } from '#database/roles';
import { onConnection } from '#tests/support/connection';
import type { MigratedServer } from '#tests/support/migrated-server';

/** A database like another, which nobody may be connected to meanwhile. */
export async function cloneDatabase(server: MigratedServer, copy: { name: string; template: string }) {
  await onConnection(server.superuserUrl, (client) =>
    client.query(`CREATE DATABASE ${escapeIdentifier(copy.name)} TEMPLATE ${escapeIdentifier(copy.template)} OWNER ${roleName('owner')}`),
  );
  const superuser = new URL(server.superuserUrl);
  superuser.pathname = `/${copy.name}`;
  return { ...urlsForRoles({ serverUrl: server.superuserUrl, database: copy.name, passwords: server.passwords }), superuser: superuser.toString() };
}

/** Takes the written rows out as COPY text, then times nothing but putting them into the floor's tables. */
export async function copyOver({ from, to, tables, tenantId }: { readonly from: string; readonly to: string; readonly tables: readonly string[]; readonly tenantId?: string }): Promise<{ copySeconds: number; rowsWritten: number }> {
  const texts = await onConnection(from, async (client) => {
    const taken: { table: string; chunks: Buffer[] }[] = [];
    for (const table of tables) {
      const chunks: Buffer[] = [];
      for await (const chunk of client.query(copyTo(`COPY ${table} TO STDOUT`))) chunks.push(chunk as Buffer);
      taken.push({ table, chunks });
    }
    return taken;
  });
  return onConnection(to, async (client) => {
    let rowsWritten = 0;
    const startedAt = performance.now();
    // As the application's role has it.
    await client.query('SET random_page_cost = 1.1');
    // Triggers that write the audit trail ask who acts, and for whom.
    await client.query(`SELECT set_config('app.tenant', $1, false), set_config('app.actor', 'system:bench', false)`, [tenantId ?? '']);
    await client.query('BEGIN');
    for (const { table, chunks } of texts) {
      const copy = client.query(copyFrom(`COPY ${table} FROM STDIN`));
      await pipeline(Readable.from(chunks), copy);
      rowsWritten += copy.rowCount;
    }
    await client.query('COMMIT');
    return { copySeconds: (performance.now() - startedAt) / 1000, rowsWritten };
  });
}
