import type { TenantTransaction } from './tenant';

/** What is to be done, in words that survive a change of the program: ids and plain values, amounts as strings. */
export type OutboxPayload = Readonly<Record<string, unknown>>;

export type OutboxRow = { readonly id: string; readonly topic: string; readonly payload: OutboxPayload };

/**
 * Asks for work as part of the transaction: it is done if, and only if, the transaction commits. The relay wakes the
 * queue; the handler reads the row by its id and must bear being called twice.
 *
 * @param topic lower-case words joined by `.` or `-`, e.g. `settlement.close-batch`.
 * @returns the id of the row, which is also the id of the job.
 */
export async function enqueue(tx: TenantTransaction, topic: string, payload: OutboxPayload): Promise<string> {
  const [id] = await enqueueAll(tx, topic, [payload]);
  if (id === undefined) throw new Error('The outbox gave no id.');
  return id;
}

/** The same for many pieces of work of one topic, in one statement; ids in the order of the payloads. */
export async function enqueueAll(tx: TenantTransaction, topic: string, payloads: readonly OutboxPayload[]): Promise<string[]> {
  // uuidv7 rises within a backend, and WITH ORDINALITY fixes the order in which the defaults are drawn.
  const { rows } = await tx.sql<{ id: string }>(
    `INSERT INTO outbox (tenant_id, topic, payload)
     SELECT $1, $2, work.payload
       FROM unnest($3::jsonb[]) WITH ORDINALITY AS work (payload, place) ORDER BY work.place
     RETURNING id`,
    [tx.tenantId, topic, payloads.map((payload) => JSON.stringify(payload))],
  );
  return rows.map((row) => row.id);
}

/** The row that a job was woken for; `undefined` when it was cleared away or is another tenant's. */
export async function readOutboxRow(tx: TenantTransaction, id: string): Promise<OutboxRow | undefined> {
  const { rows } = await tx.sql<OutboxRow>('SELECT id, topic, payload FROM outbox WHERE tenant_id = $1 AND id = $2', [tx.tenantId, id]);
  return rows[0];
}

/** Clears away rows that were relayed before a time, and says how many. */
export async function clearOutbox(tx: TenantTransaction, { relayedBefore }: { readonly relayedBefore: Date }): Promise<number> {
  const { rowCount } = await tx.sql('DELETE FROM outbox WHERE tenant_id = $1 AND relayed_at < $2', [tx.tenantId, relayedBefore]);
  return rowCount;
}
