import { serverErrorOf, sqlStates } from './server-error';

export type RowSecurityRefusal = { readonly table: string };

/**
 * Row security refused to let a row in (or a changed row stay): it carried another tenant's id, or no tenant was set.
 * No request can bring that about by what it sends, so it is a bug of the caller, and worth a louder log entry
 * than others. `undefined` for every other error, a missing grant included, which has the same SQLSTATE.
 */
export function rowSecurityRefusalOf(error: unknown): RowSecurityRefusal | undefined {
  const server = serverErrorOf(error);
  // The server gives no table field here; the routine of its source (execMain.c) tells the two kinds of 42501 apart
  // in every language of lc_messages.
  if (server?.code !== sqlStates.insufficientPrivilege || server.routine !== 'ExecWithCheckOptions') return undefined;
  return { table: /"([^"]+)"\s*$/.exec(server.message)?.[1] ?? '' };
}
