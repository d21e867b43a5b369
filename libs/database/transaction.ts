import { AsyncLocalStorage } from 'node:async_hooks';
import type { ClientBase, QueryConfig, QueryResult } from 'pg';
import { originalError } from './server-error';

/** A transaction that is under way on one connection. Statements given to it at once run one after the other. */
export type OpenTransaction = {
  readonly client: ClientBase;
  /** Runs one statement of the work. */
  readonly run: (statement: QueryConfig) => Promise<QueryResult>;
  /** Runs work that may fail without taking the transaction with it: when it throws, what it wrote is undone. */
  readonly underSavepoint: <Value>(work: () => Promise<Value>) => Promise<Value>;
  /** Begins a savepoint whose end the caller decides. */
  readonly beginSavepoint: () => Promise<Savepoint>;
  /** PostgreSQL's own error where one is behind what was thrown. */
  readonly explain: (error: unknown) => unknown;
  /** Takes no more statements, and waits for those that nobody waited for. */
  readonly close: () => Promise<void>;
  readonly isOpen: () => boolean;
  /** Throws unless the running code belongs to this transaction, and it is open. */
  readonly refuseOutside: () => void;
};

export type Savepoint = {
  readonly release: () => Promise<void>;
  readonly rollBack: () => Promise<void>;
};

const current = new AsyncLocalStorage<OpenTransaction>();

/** Statements that would end or leave the transaction, and with it the tenant. */
const LEAVES_TRANSACTION =
  /^\s*(begin|start\s+transaction|commit|end|rollback|abort|prepare\s+transaction|discard|reset|set\s+(session|role))\b/i;

/** Wraps a connection on which BEGIN was sent. */
export function openTransaction(client: ClientBase): OpenTransaction {
  let isOpen = true;
  let last: Promise<unknown> = Promise.resolve();
  let savepoints = 0;
  let lastServerError: unknown;

  const refuseOutside = (): void => {
    if (!isOpen) throw new Error('The transaction is over: it was used after its work had returned.');
    if (current.getStore() !== transaction) throw new Error('A transaction was used from outside its own work.');
  };
  const send = async (statement: QueryConfig): Promise<QueryResult> => {
    refuseOutside();
    const result = last.then(() => client.query(statement));
    last = result.catch((error: unknown) => void (lastServerError = error));
    return result;
  };
  const explain = (error: unknown): unknown => originalError({ error, lastServerError });
  const beginSavepoint = async (): Promise<Savepoint> => {
    savepoints += 1;
    const name = `latchledger_${savepoints}`;
    await send({ text: `SAVEPOINT ${name}` });
    return {
      release: async () => void (await send({ text: `RELEASE SAVEPOINT ${name}` })),
      rollBack: async () => void (await send({ text: `ROLLBACK TO SAVEPOINT ${name}; RELEASE SAVEPOINT ${name}` })),
    };
  };
  const transaction: OpenTransaction = {
    client,
    isOpen: () => isOpen,
    refuseOutside,
    run: async (statement) => {
      if (LEAVES_TRANSACTION.test(statement.text)) {
        throw new Error(`The work of a transaction may not end it: ${statement.text.trim().slice(0, 40)}`);
      }
      return send(statement);
    },
    beginSavepoint,
    underSavepoint: async (work) => {
      const savepoint = await beginSavepoint();
      try {
        const value = await work();
        await savepoint.release();
        return value;
      } catch (error) {
        const explained = explain(error);
        await savepoint.rollBack();
        throw explained;
      }
    },
    explain,
    close: async () => {
      isOpen = false;
      await last;
    },
  };
  return transaction;
}

/** Runs work inside a transaction, so that {@link currentTransaction} finds it there. */
export function inside<Value>(transaction: OpenTransaction, work: () => Promise<Value>): Promise<Value> {
  // Awaited in here: a call of Prisma's starts only when somebody waits for it, and must then find its transaction.
  return current.run(transaction, async () => await work());
}

/** The transaction that the running code belongs to, if one is open. */
export function currentTransaction(): OpenTransaction | undefined {
  const transaction = current.getStore();
  return transaction?.isOpen() === true ? transaction : undefined;
}
