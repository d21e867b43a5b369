import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { openMinorOf } from '../advance/recoup.sql';
import { isPayeeOf } from '../agreement/payee.sql';
import { writtenOffOf } from '../open-item/write-off.sql';
import { onAccountMinorOf } from '../payment/shift.sql';
import { isReversed, isSettled } from '../settlement/standing.sql';

export type InTheWayKind = 'agreement' | 'unissued' | 'late-change' | 'open-item' | 'advance' | 'on-account' | 'payment-run';

/** What is not over with a payee, each with the codes or numbers by which the office knows it. */
export async function selectInTheWay(tx: TenantTransaction, party: { readonly id: string; readonly today: LocalDate }): Promise<{ kind: InTheWayKind; which: string }[]> {
  const { rows } = await tx.sql<{ kind: InTheWayKind; which: string }>(
    `WITH own AS (
       SELECT a.id, a.code, a.ended_on FROM agreement a
        WHERE a.tenant_id = $1 AND ${isPayeeOf({ agreement: 'a', party: '$2' })})
     SELECT 'agreement' AS kind, own.code AS which FROM own WHERE own.ended_on IS NULL OR own.ended_on > $3
     UNION ALL SELECT 'unissued', own.code || ' ' || x.starts_on FROM settlement x JOIN own ON own.id = x.agreement_id WHERE x.tenant_id = $1 AND x.state <> 'issued'
     UNION ALL SELECT 'late-change', own.code || ' ' || p.starts_on FROM late_change l JOIN period p ON p.tenant_id = $1 AND p.id = l.period_id JOIN own ON own.id = p.agreement_id
                WHERE l.tenant_id = $1 AND NOT ${isSettled('l')}
     UNION ALL SELECT 'open-item', x.number FROM open_item i JOIN settlement x ON x.tenant_id = $1 AND x.id = i.settlement_id
                WHERE i.tenant_id = $1 AND i.party_id = $2 AND NOT ${isReversed('x')}
                  AND i.amount_minor - ${writtenOffOf('i')} <> (SELECT coalesce(sum(m.amount_minor), 0)::bigint FROM payment_match m WHERE m.tenant_id = $1 AND m.open_item_id = i.id)
     UNION ALL SELECT 'advance', own.code FROM advance v JOIN own ON own.id = v.agreement_id WHERE v.tenant_id = $1 AND v.party_id = $2 AND ${openMinorOf('v')} <> 0
     UNION ALL SELECT 'on-account', own.code FROM payment y JOIN own ON own.id = y.agreement_id
                WHERE y.tenant_id = $1 AND y.party_id = $2 AND ${onAccountMinorOf('y')} <> 0
                  AND NOT EXISTS (SELECT FROM payment_return r WHERE r.tenant_id = $1 AND r.payment_id = y.id)
                  AND NOT EXISTS (SELECT FROM payment_set_off o JOIN settlement taking ON taking.tenant_id = $1 AND taking.id = o.settlement_id
                                   WHERE o.tenant_id = $1 AND o.payment_id = y.id AND NOT ${isReversed('taking')})
     UNION ALL SELECT 'payment-run', r.execute_on::text FROM payment_run_transfer t JOIN payment_run r ON r.tenant_id = $1 AND r.id = t.run_id
                WHERE t.tenant_id = $1 AND t.party_id = $2 AND r.state IN ('draft', 'file-made', 'sent')
      ORDER BY kind, which`,
    [tx.tenantId, party.id, party.today],
  );
  return rows;
}

/** The last day on which the books have something of a payee; null where they never had. */
export async function selectLastDay(tx: TenantTransaction, partyId: string): Promise<LocalDate | null> {
  const { rows } = await tx.sql<{ day: LocalDate | null }>(
    `SELECT max(day) AS day FROM (
       SELECT a.ended_on AS day FROM agreement a WHERE a.tenant_id = $1 AND ${isPayeeOf({ agreement: 'a', party: '$2' })}
       UNION ALL SELECT greatest(x.accounting_date, x.issued_on) FROM settlement x JOIN agreement a ON a.tenant_id = $1 AND a.id = x.agreement_id
                  WHERE x.tenant_id = $1 AND ${isPayeeOf({ agreement: 'a', party: '$2' })}
       UNION ALL SELECT greatest(y.paid_on, y.accounting_date) FROM payment y WHERE y.tenant_id = $1 AND y.party_id = $2
       UNION ALL SELECT greatest(v.given_on, v.accounting_date) FROM advance v WHERE v.tenant_id = $1 AND v.party_id = $2
       UNION ALL SELECT d.accounting_date FROM advance_reduction d JOIN advance v ON v.tenant_id = $1 AND v.id = d.advance_id WHERE d.tenant_id = $1 AND v.party_id = $2
       UNION ALL SELECT c.local_date FROM cash_handed h JOIN collection c ON c.tenant_id = $1 AND c.id = h.collection_id WHERE h.tenant_id = $1 AND h.party_id = $2) booked`,
    [tx.tenantId, partyId],
  );
  return rows[0]?.day ?? null;
}

export async function eraseParty(tx: TenantTransaction, erased: { readonly id: string; readonly now: Date }): Promise<void> {
  await tx.sql('SELECT app.erase_party($1, $2)', [erased.id, erased.now]);
  // To which addresses they were told of changes.
  await tx.sql('DELETE FROM bank_detail_payee_mail m USING bank_detail d WHERE m.tenant_id = $1 AND d.tenant_id = $1 AND d.id = m.bank_detail_id AND d.party_id = $2', [tx.tenantId, erased.id]);
  await tx.sql('DELETE FROM party_address_change WHERE tenant_id = $1 AND party_id = $2', [tx.tenantId, erased.id]);
}

/** Codes of erased payees, by settlement of theirs. */
export async function selectErasedPayees(tx: TenantTransaction, settlementIds: readonly string[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ id: string; code: string }>(
    `SELECT x.id, min(p.code) AS code FROM settlement x JOIN agreement a ON a.tenant_id = $1 AND a.id = x.agreement_id
       JOIN party p ON p.tenant_id = $1 AND ${isPayeeOf({ agreement: 'a', party: 'p.id' })}
      WHERE x.tenant_id = $1 AND x.id = ANY ($2::uuid[]) AND p.erased_at IS NOT NULL GROUP BY x.id`,
    [tx.tenantId, settlementIds],
  );
  return new Map(rows.map(({ id, code }) => [id, code]));
}
