import type { Advance } from '#contracts/advance';
import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { TenantTransaction } from '#database/tenant';
import { groupBy } from '../settlement/inputs/group-by';
import { readSteps, type AdvanceRow, type StepRow } from './advance.sql';

/** Reasons and names of staff stay in the office; `on` cuts what the books got later. */
type Reader = { readonly ownSites: boolean; readonly on: string | null };

export async function advanceBodies(tx: TenantTransaction, rows: readonly AdvanceRow[], reader: Reader): Promise<Advance[]> {
  const steps = groupBy(await readSteps(tx, rows.map((row) => row.id)), (step) => step.advance_id);
  return rows.map((row) => advanceBody(row, steps.get(row.id) ?? [], reader));
}

function advanceBody(row: AdvanceRow, steps: readonly StepRow[], reader: Reader): Advance {
  const { history, openMinor } = historyOf(row, steps, reader);
  return {
    id: row.id,
    agreementId: row.agreement_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    partyId: row.party_id,
    partyName: row.party_name,
    amount: moneyOf(row.amount_minor, row.currency),
    open: moneyOf(openMinor, row.currency),
    state: openMinor === 0n ? 'closed' : 'open',
    method: row.method,
    document: row.document,
    reason: reader.ownSites ? '' : row.reason,
    givenOn: row.given_on,
    accountingDate: row.accounting_date,
    history,
  };
}

function historyOf(row: AdvanceRow, steps: readonly StepRow[], reader: Reader): { history: Advance['history']; openMinor: bigint } {
  const given = { ...row, kind: 'given' as const, reduction_id: null, undone: false, settlement_id: null, number: null };
  const known = [given, ...steps].filter((step) => reader.on === null || step.accounting_date <= reader.on);
  let openMinor = 0n;
  const history = known.map((step): Advance['history'][number] => {
    openMinor += step.amount_minor;
    return {
      kind: step.kind,
      on: step.accounting_date,
      amount: moneyOf(step.amount_minor, row.currency),
      balance: moneyOf(openMinor, row.currency),
      reductionId: step.reduction_id,
      undone: step.undone,
      settlementId: step.settlement_id,
      number: step.number,
      document: step.document,
      reason: reader.ownSites ? '' : step.reason,
      happenedAt: formatInstant(step.recorded_at),
      happenedBy: reader.ownSites ? 'operator' : step.recorded_by,
    };
  });
  return { history, openMinor };
}

/** What may be taken off at a day so that at no later day the books have less than nothing open. Steps in the order of the books. */
export function freeMinorFrom(row: Pick<AdvanceRow, 'amount_minor'>, steps: readonly StepRow[], day: string): bigint {
  let openMinor = row.amount_minor;
  let freeMinor: bigint | null = null;
  for (const [index, step] of steps.entries()) {
    if (step.accounting_date > day && freeMinor === null) freeMinor = openMinor;
    openMinor += step.amount_minor;
    const dayEnds = steps[index + 1]?.accounting_date !== step.accounting_date;
    if (freeMinor !== null && dayEnds && openMinor < freeMinor) freeMinor = openMinor;
  }
  return freeMinor ?? openMinor;
}
