import type { TenantTransaction } from '#database/tenant';
import type { CustodyToConfirm } from '#contracts/custody-acknowledgement';
import { sideJoins, sideNames, type HolderNames } from '../key-question/holder-names.sql';
import { keepers, keptAt } from '../key-question/keepers.sql';

export type ToConfirmRow = {
  event_id: string;
  own_side: CustodyToConfirm['items'][number]['side'];
  says: CustodyToConfirm['items'][number]['says'];
  happened_at: Date;
  acknowledge_by: Date;
  due_back_at: Date | null;
  denied_at: Date | null;
  denied_how: CustodyToConfirm['items'][number]['deniedHow'];
  copies: CustodyToConfirm['items'][number]['copies'];
} & HolderNames<'from'> &
  HolderNames<'to'>;

/** Who speaks for a side: the person, the custodian of the store, or who answers for the place or may use it, at that time. */
const isSpeaker = (prefix: 'from' | 'to', e: string): string => `
  (${e}.${prefix}_person_id = $2
   OR EXISTS (SELECT FROM ${keepers} k
               WHERE k.holder_id = coalesce(${e}.${prefix}_store_id, ${e}.${prefix}_place_id) AND k.person_id = $2 AND ${keptAt('k', `${e}.happened_at`)}))`;

/** What a person still has to confirm, for each side that is theirs. A correction takes the place of the event it names. */
export async function selectToConfirm(tx: TenantTransaction, personId: string): Promise<ToConfirmRow[]> {
  const { rows } = await tx.sql<ToConfirmRow>(
    `WITH own AS MATERIALIZED (
       SELECT $2::uuid AS id
       UNION SELECT k.holder_id FROM ${keepers} k WHERE k.person_id = $2),
     waiting AS MATERIALIZED (
       SELECT open.event_id, open.side
         FROM own CROSS JOIN LATERAL (
           SELECT c.event_id, c.side FROM custody_confirmation c
            WHERE c.tenant_id = $1 AND c.holder_id = own.id AND c.confirmed_at IS NULL AND c.superseded_at IS NULL OFFSET 0) open),
     e AS (
       SELECT event.*, waiting.side AS own_side
         FROM waiting CROSS JOIN LATERAL (SELECT * FROM custody_event WHERE tenant_id = $1 AND id = waiting.event_id OFFSET 0) event
        WHERE CASE waiting.side WHEN 'giver' THEN ${isSpeaker('from', 'event')} ELSE ${isSpeaker('to', 'event')} END)
     SELECT e.id AS event_id, e.own_side, e.says, e.happened_at, e.acknowledge_by, e.due_back_at, given.copies,
            d.denied_at, d.how AS denied_how, ${sideNames}
       FROM e
       LEFT JOIN custody_denial d ON d.tenant_id = $1 AND d.event_id = e.id AND d.side = e.own_side
       CROSS JOIN LATERAL (
         SELECT jsonb_agg(jsonb_build_object('number', copy.number, 'class', copy.class) ORDER BY copy.number) AS copies
           FROM custody_event_copy ec JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = ec.key_copy_id
          WHERE ec.tenant_id = $1 AND ec.event_id = e.id
            AND NOT EXISTS (SELECT FROM custody_event_copy newer WHERE newer.tenant_id = $1 AND newer.corrects_id = e.id AND newer.key_copy_id = ec.key_copy_id)) given
       ${sideJoins}
      WHERE given.copies IS NOT NULL
      ORDER BY e.acknowledge_by, e.id, e.own_side`,
    [tx.tenantId, personId],
  );
  return rows;
}
