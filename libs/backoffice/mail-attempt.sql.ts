import type { TenantTransaction } from '#database/tenant';

/**
 * How mails that go out in the background are tried again, for every table of them: a row `mail` has `state`, `attempts` and
 * `changed_at`, and `moment` is the parameter that says when it is asked.
 */

/** Longer than any mail takes. */
const SENDING_MINUTES = 10;
/** With the pauses doubling from a minute, most of a day. */
const MOST_ATTEMPTS = 11;

export type MailOutcome = 'sent' | 'refused' | 'unclear';

type Asked = { readonly mail: string; readonly moment: string };

/** SQL: whether it was refused and will go out again, sooner or later. */
export function isTriedAgain({ mail }: Pick<Asked, 'mail'>): string {
  return `(${mail}.state = 'refused' AND ${mail}.attempts < ${MOST_ATTEMPTS})`;
}

/** SQL: whether it was refused and its pause is over. */
export function isDueAgain({ mail, moment }: Asked): string {
  return `(${isTriedAgain({ mail })} AND ${mail}.changed_at <= ${moment}::timestamptz - interval '1 minute' * 2 ^ (${mail}.attempts - 1))`;
}

/** SQL: whether it has been on its way for so long that whoever was sending it has died over it. */
export function isLost({ mail, moment }: Asked): string {
  return `(${mail}.state = 'sending' AND ${mail}.changed_at < ${moment}::timestamptz - interval '${SENDING_MINUTES} minutes')`;
}

/** A table of mails, and the columns that name one of them. */
export type MailTable<Column extends string = string> = { readonly table: string; readonly key: readonly Column[] };

/** What no worker came back from may have arrived: it is not sent again by itself. */
export async function giveUpLost(tx: TenantTransaction, { table }: MailTable, now: Date): Promise<void> {
  await tx.sql(`UPDATE ${table} m SET state = 'unclear', changed_at = $2 WHERE tenant_id = $1 AND ${isLost({ mail: 'm', moment: '$2' })}`, [tx.tenantId, now]);
}

/** SQL, to stand after WITH: takes the next mail that is due, and writes that it is on its way before it is; its key as the row `taken`. $1 is the tenant, $2 the moment. */
export function takenNext({ table, key }: MailTable): string {
  const of = (row: string): string => key.map((column) => `${row}.${column}`).join(', ');
  return `due AS (
       SELECT ${of('m')} FROM ${table} m
        WHERE m.tenant_id = $1 AND (m.state = 'waiting' OR ${isDueAgain({ mail: 'm', moment: '$2' })})
        ORDER BY m.changed_at, ${of('m')} LIMIT 1 FOR UPDATE SKIP LOCKED),
     taken AS (
       UPDATE ${table} m SET state = 'sending', attempts = attempts + 1, changed_at = $2 FROM due
        WHERE m.tenant_id = $1 AND (${of('m')}) = (${of('due')}) RETURNING ${of('m')})`;
}

/** Only what is on its way gets an outcome. */
export async function noteOutcome<Column extends string>(
  tx: TenantTransaction,
  { table, key }: MailTable<Column>,
  { mail, state, now }: { readonly mail: Readonly<Record<Column, unknown>>; readonly state: MailOutcome | 'left-out'; readonly now: Date },
): Promise<void> {
  const isIt = key.map((column, index) => `${column} = $${index + 4}`).join(' AND ');
  await tx.sql(`UPDATE ${table} SET state = $2, changed_at = $3 WHERE tenant_id = $1 AND ${isIt} AND state = 'sending'`, [tx.tenantId, state, now, ...key.map((column) => mail[column])]);
}
