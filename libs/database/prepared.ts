import { createHash } from 'node:crypto';
import type { QueryConfig } from 'pg';
import { serverErrorOf } from './server-error';

const names = new Map<string, string>();

/**
 * A statement under a name of its own, so that a connection parses and, where it pays, plans it once. Most statements of a
 * request are short: reading them costs the server more than running them. Without parameters nothing is prepared, as such
 * texts may hold several statements.
 */
export function preparedStatement(text: string, values: readonly unknown[] | undefined): QueryConfig {
  if (values === undefined) return { text };
  let name = names.get(text);
  if (name === undefined) {
    // PostgreSQL cuts names off at 63 bytes; pg refuses two texts under one name.
    name = createHash('sha256').update(text).digest('base64url');
    names.set(text, name);
  }
  return { name, text, values: [...values] };
}

/** A migration changed what a statement answers while its connection was open. Only a new connection prepares it anew. */
export function isOutdatedStatement(error: unknown): boolean {
  return serverErrorOf(error)?.routine === 'RevalidateCachedQuery';
}
