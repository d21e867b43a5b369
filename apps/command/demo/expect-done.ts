import type { Outcome } from '#contracts/outcome';

/** The demo says nothing that the use cases should refuse; if they do, the demo is wrong and must not be half there. */
export function expectDone<Value>(outcome: Outcome<Value>, what: string): Value {
  if (outcome.ok) return outcome.value;
  throw new Error(`The demo could not ${what}: ${JSON.stringify(outcome.failure)}`);
}

/** Runs work over items with so many at once: the database has more than one core, and one round trip is mostly waiting. */
export async function inParallel<Item>(items: readonly Item[], atOnce: number, work: (item: Item) => Promise<void>): Promise<void> {
  const rest = [...items].reverse();
  const take = async (): Promise<void> => {
    for (let item = rest.pop(); item !== undefined; item = rest.pop()) await work(item);
  };
  await Promise.all(Array.from({ length: atOnce }, take));
}
