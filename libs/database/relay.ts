import { setTimeout as pause } from 'node:timers/promises';
import { Client, Pool } from 'pg';

/** Work that waits in some tenant's outbox, as much of it as the relay may see. */
export type WaitingWork = {
  readonly id: string;
  readonly tenantId: string;
  readonly topic: string;
  readonly createdAt: Date;
};

export type Relay = {
  /**
   * Hands the longest waiting rows, at most `limit`, to `publish` and marks them when it has returned; gives their number.
   * If anything fails in between they are handed out again, so publishing must bear repetition. Several relays may run
   * at once: none waits for rows that another one holds.
   */
  readonly relayBatch: (limit: number, publish: (work: readonly WaitingWork[]) => Promise<void>) => Promise<number>;
  /**
   * Calls `onWork` when rows were written, and once after every (re)connect, since what was notified meanwhile is lost.
   * Resolves when the first connection listens.
   */
  readonly listen: (onWork: () => void) => Promise<void>;
  readonly close: () => Promise<void>;
};

const CHANNEL = 'latchledger_outbox';
const RECONNECT_PAUSE_MS = 1_000;

/** Opens the door of the role latchledger_relay: one connection for batches, one that listens. */
export function createRelay(options: { readonly relayUrl: string; readonly onConnectionLost?: (error: Error) => void }): Relay {
  const onLost = (error: Error): void => options.onConnectionLost?.(error);
  const pool = new Pool({ connectionString: options.relayUrl, application_name: 'latchledger relay', max: 1, keepAlive: true });
  pool.on('error', onLost);
  pool.on('connect', (client) => client.on('error', () => undefined));
  let listener: Client | undefined;
  let isClosed = false;

  const connectListener = async (onWork: () => void): Promise<void> => {
    const client = new Client({ connectionString: options.relayUrl, application_name: 'latchledger relay listener', keepAlive: true });
    client.on('notification', onWork);
    client.on('error', onLost);
    try {
      await client.connect();
      await client.query(`LISTEN ${CHANNEL}`);
    } catch (error) {
      await client.end().catch(() => undefined);
      throw error;
    }
    client.once('end', () => void reconnect(onWork));
    listener = client;
    onWork();
  };
  const reconnect = async (onWork: () => void): Promise<void> => {
    while (!isClosed) {
      await pause(RECONNECT_PAUSE_MS, undefined, { ref: false });
      if (isClosed) return;
      try {
        return await connectListener(onWork);
      } catch (error) {
        onLost(error instanceof Error ? error : new Error(String(error)));
      }
    }
  };

  return {
    relayBatch: (limit, publish) => relayBatch({ pool, limit, publish }),
    listen: connectListener,
    close: async () => {
      isClosed = true;
      await listener?.end();
      await pool.end();
    },
  };
}

async function relayBatch(batch: {
  pool: Pool;
  limit: number;
  publish: (work: readonly WaitingWork[]) => Promise<void>;
}): Promise<number> {
  const client = await batch.pool.connect();
  try {
    await client.query('BEGIN');
    const { rows } = await client.query<WaitingWork>(
      `SELECT id, tenant_id AS "tenantId", topic, created_at AS "createdAt"
         FROM outbox WHERE relayed_at IS NULL ORDER BY created_at, id LIMIT $1 FOR UPDATE SKIP LOCKED`,
      [batch.limit],
    );
    if (rows.length > 0) {
      await batch.publish(rows);
      await client.query(
        `UPDATE outbox SET relayed_at = clock_timestamp()
          WHERE (tenant_id, id) IN (SELECT * FROM unnest($1::uuid[], $2::uuid[]))`,
        [rows.map((row) => row.tenantId), rows.map((row) => row.id)],
      );
    }
    await client.query('COMMIT');
    client.release();
    return rows.length;
  } catch (error) {
    await client.query('ROLLBACK').then(
      () => client.release(),
      () => client.release(true),
    );
    throw error;
  }
}
