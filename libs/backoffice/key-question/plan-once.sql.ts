import type { TenantTransaction } from '#database/tenant';

/**
 * Lets the statements of this transaction be planned once per connection. They join many small tables to few rows: to plan
 * them takes about a millisecond each time, which is longer than to run them, and they are written so that one plan is right
 * for every question. Not for statements with filters that may be left out.
 */
export async function planOnce(tx: TenantTransaction): Promise<void> {
  await tx.sql(`SELECT set_config('plan_cache_mode', 'force_generic_plan', true)`, []);
}
