import { PrismaPg } from '@prisma/adapter-pg';
import { Pool, type ClientBase, type QueryConfig } from 'pg';
import { PrismaClient, type Prisma } from '../../prisma/generated/client';
import { currentTransaction, type OpenTransaction } from './transaction';

export type { Prisma };
/** Prisma's models inside a transaction that is under way. */
export type PrismaModels = Prisma.TransactionClient;

/**
 * One Prisma client per connection, because Prisma gathers the `findUnique` calls of one client and one tick into a
 * single query: with a client over the whole pool, two tenants' calls would run in whichever transaction came first.
 * Made when a transaction on that connection first asks for it: 10 to 20 ms and some 15 MB (measured with 41 models),
 * which work that never asks does not pay. Per transaction a query by Prisma costs about four times one by `sql`.
 */
const clients = new WeakMap<ClientBase, PrismaClient>();

/** Prisma's models on the connection of a transaction, within that transaction. */
export function prismaWithin(transaction: OpenTransaction): PrismaModels {
  const known = clients.get(transaction.client);
  if (known) return known;
  const made = new PrismaClient({ adapter: adapterFor(transaction.client) });
  clients.set(transaction.client, made);
  return made;
}

function adapterFor(client: ClientBase): PrismaPg {
  const factory = new PrismaPg(doorTo(client));
  const connect = factory.connect.bind(factory);
  return Object.assign(factory, {
    connect: async () => {
      const adapter = await connect();
      // Prisma wraps writes of several statements in a transaction: here a savepoint, since one is under way.
      return Object.assign(adapter, { startTransaction: async () => savepointTransaction({ adapter, client }) });
    },
  });
}

type Adapter = Awaited<ReturnType<PrismaPg['connect']>>;

async function savepointTransaction({ adapter, client }: { adapter: Adapter; client: ClientBase }) {
  const savepoint = await transactionOn(client).beginSavepoint();
  return {
    provider: adapter.provider,
    adapterName: adapter.adapterName,
    queryRaw: adapter.queryRaw.bind(adapter),
    executeRaw: adapter.executeRaw.bind(adapter),
    // Asks Prisma to call commit and rollback below instead of sending COMMIT and ROLLBACK itself.
    options: { usePhantomQuery: true },
    commit: savepoint.release,
    rollback: savepoint.rollBack,
  };
}

/** What the adapter takes for a pool: it opens nothing, and passes each statement to the transaction under way. */
function doorTo(client: ClientBase): Pool {
  return Object.assign(new Pool(), {
    query: (statement: QueryConfig) => transactionOn(client).run(statement),
    connect: () => Promise.reject(new Error('Prisma was about to open a connection of its own.')),
  });
}

function transactionOn(client: ClientBase): OpenTransaction {
  const transaction = currentTransaction();
  if (transaction?.client !== client) throw new Error('A Prisma call was made outside the work of its transaction.');
  return transaction;
}
