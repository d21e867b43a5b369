import type { TenantTransaction } from '#database/tenant';
import type { CustodyToConfirm } from '#contracts/custody-acknowledgement';
import { side, sideJoins, type Side } from '../key-question/attention.sql';

export type ToConfirmRow = {
  event_id: string;
  own_side: CustodyToConfirm['items'][number]['side'];
  says: CustodyToConfirm['items'][number]['says'];
  happened_at: Date;
  acknowledge_by: Date;
  due_back_at: Date | null;
  copies: CustodyToConfirm['items'][number]['copies'];
} & Side<'from'> &
  Side<'to'>;

/** Who speaks for a side: the person, the custodian of the store, or who answers for the place or may use it, at that time. */
const isSpeaker = (prefix: 'from' | 'to'): string => `
  (e.${prefix}_person_id = $2
   OR EXISTS (SELECT FROM key_custodian c WHERE c.tenant_id = $1 AND c.key_store_id = e.${prefix}_store_id AND c.person_id = $2
                AND c.started_at <= e.happened_at AND (c.ended_at IS NULL OR c.ended_at > e.happened_at))
   OR EXISTS (SELECT FROM key_place p WHERE p.tenant_id = $1 AND p.id = e.${prefix}_place_id AND p.responsible_person_id = $2)
   OR EXISTS (SELECT FROM key_place_user u WHERE u.tenant_id = $1 AND u.key_place_id = e.${prefix}_place_id AND u.person_id = $2
                AND u.started_at <= e.happened_at AND (u.ended_at IS NULL OR u.ended_at > e.happened_at)))`;

const openFor = (ownSide: 'giver' | 'receiver'): string => `
  SELECT e.*, '${ownSide}' AS own_side
    FROM custody_event e
   WHERE e.tenant_id = $1 AND e.acknowledge_by IS NOT NULL
     AND NOT EXISTS (SELECT FROM custody_acknowledgement a WHERE a.tenant_id = $1 AND a.event_id = e.id AND a.side = '${ownSide}')
     AND ${isSpeaker(ownSide === 'giver' ? 'from' : 'to')}`;

/** What a person still has to confirm, for each side that is theirs. A correction takes the place of the event it names. */
export async function selectToConfirm(tx: TenantTransaction, personId: string): Promise<ToConfirmRow[]> {
  const { rows } = await tx.sql<ToConfirmRow>(
    `WITH e AS MATERIALIZED (${openFor('giver')} UNION ALL ${openFor('receiver')})
     SELECT e.id AS event_id, e.own_side, e.says, e.happened_at, e.acknowledge_by, e.due_back_at, given.copies, ${side('from')}, ${side('to')}
       FROM e
       CROSS JOIN LATERAL (
         SELECT jsonb_agg(jsonb_build_object('number', copy.number, 'class', copy.class) ORDER BY copy.number) AS copies
           FROM custody_event_copy ec JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = ec.key_copy_id
          WHERE ec.tenant_id = $1 AND ec.event_id = e.id
            AND NOT EXISTS (SELECT FROM custody_event_copy newer WHERE newer.tenant_id = $1 AND newer.corrects_id = e.id AND newer.key_copy_id = ec.key_copy_id)) given
       ${sideJoins('from')} ${sideJoins('to')}
      WHERE given.copies IS NOT NULL
      ORDER BY e.acknowledge_by, e.id, e.own_side`,
    [tx.tenantId, personId],
  );
  return rows;
}
