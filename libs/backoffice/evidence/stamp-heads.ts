import { listTenantIds, withTenant, type Database, type TenantTransaction } from '#database/tenant';
import { canonicalBytes } from '#domain/evidence/canonical-json';
import type { TreeHead } from '#domain/evidence/merkle';
import { checkTimestamp, stamp, type TimestampAuthority, type TimestampTrust } from '#statement/sign/timestamp';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { selectOperator } from '../operator/operator.sql';
import type { EvidenceDeps } from './append';
import { readHead } from './read.sql';
import { insertStamp, selectSentOn, selectStamps } from './stamp-heads.sql';

const STAMPS_AT_ONCE = 200;

/** The bytes that are stamped for a head: canonical JSON, so that anybody who has the two figures can make them again. */
export function stampedBytes(head: { size: number | bigint; root: Uint8Array }): Uint8Array {
  return canonicalBytes({ kind: 'evidence-head', root: Buffer.from(head.root).toString('hex'), size: Number(head.size) });
}

type Due = { readonly size: bigint; readonly root: Buffer; readonly askedOn: string };

/**
 * Has each operator's head of the day stamped, where the log has grown since the last stamp: the head that went out by mail
 * if one did. What an authority answers is kept only if it holds. A refusal or failure is told and tried again at the next
 * call; an authority that cannot be reached is asked no more in this one. Gives how many heads were stamped.
 */
export async function stampDailyHeads(
  deps: Pick<Backoffice, 'database' | 'clock'> & Pick<EvidenceDeps, 'randomBytes'>,
  authority: TimestampAuthority & { readonly onTrouble: (error: unknown) => void },
): Promise<number> {
  let stamped = 0;
  for (const tenantId of await listTenantIds(deps.database)) {
    const scope = { tenantId, kind: 'system', id: 'worker:heads' } as const;
    const due = await withTenant(deps.database, scope, (tx) => dueStamp(tx, deps.clock.now()));
    if (due === null) continue;
    const answer = await stamp(authority, { data: stampedBytes(due), randomBytes: deps.randomBytes });
    if (!answer.ok && answer.problem === 'out-of-reach') {
      authority.onTrouble(answer.error);
      break;
    }
    if (!answer.ok) {
      authority.onTrouble(new Error(`no time stamp for the head of ${tenantId} over ${due.size} entries: ${answer.problem}`));
      continue;
    }
    await withTenant(deps.database, scope, (tx) => insertStamp(tx, { ...due, timestamp: answer.timestamp, token: answer.token, now: deps.clock.now() }));
    stamped += 1;
  }
  return stamped;
}

async function dueStamp(tx: TenantTransaction, now: Date): Promise<Due | null> {
  const operator = await selectOperator(tx);
  const askedOn = operator === null ? null : localDay({ instant: now, timeZone: operator.time_zone });
  if (askedOn === null) return null;
  const [last] = await selectStamps(tx, { below: null, limit: 1 });
  if (last !== undefined && last.asked_on >= askedOn) return null;
  const head = (await selectSentOn(tx, askedOn)) ?? (await readHead(tx));
  return head === undefined || (last !== undefined && last.size >= head.size) ? null : { size: head.size, root: head.root, askedOn };
}

/** The stamps of a log, checked again: heads that somebody who is trusted vouches for, and those whose tokens do not hold. */
export type CheckedStamps = {
  readonly heads: readonly TreeHead[];
  /** How many tokens hold, whoever made them. */
  readonly holding: number;
  readonly wrong: readonly { readonly size: number; readonly problem: string }[];
  /** The newest one that holds. */
  readonly last: { readonly size: number; readonly stampedAt: Date; readonly authority: string; readonly trusted: boolean } | undefined;
};

/** Checks every stored token anew. A rewritten log can be given new hashes and heads, but no stamps of a time that is over. */
export function checkStoredStamps(database: Database, query: { tenantId: string; trust: TimestampTrust }): Promise<CheckedStamps> {
  return withTenant(database, { tenantId: query.tenantId, kind: 'system', id: 'verify-log' }, async (tx) => {
    const found = { heads: [] as TreeHead[], holding: 0, wrong: [] as { size: number; problem: string }[], last: undefined as CheckedStamps['last'] };
    for (let below: bigint | null = null; ; ) {
      const rows = await selectStamps(tx, { below, limit: STAMPS_AT_ONCE });
      for (const row of rows) {
        const head = { size: Number(row.size), root: row.root };
        const checked = await checkTimestamp({ token: row.token, data: stampedBytes(head), trust: query.trust });
        if (!checked.ok) {
          found.wrong.push({ size: head.size, problem: checked.problem });
          continue;
        }
        // A token of nobody in particular could have been made by whoever rewrote the log.
        if (checked.timestamp.trusted) found.heads.push(head);
        found.holding += 1;
        found.last ??= { ...checked.timestamp, size: head.size };
      }
      below = rows.at(-1)?.size ?? null;
      if (rows.length < STAMPS_AT_ONCE) return found;
    }
  });
}
