import { moneyOf, type Money } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TaxWorksheet, WorksheetQuery } from '#contracts/tax-return';
import type { TenantTransaction } from '#database/tenant';
import { addDays, dayNumberOf, fromDayNumber, localDate, type LocalDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { accountCodeOf } from '../journal/post';
import { perform } from '../perform';
import { refusedBy } from '../settlement/inputs/obstacle';
import { readPaidMinor } from '../tax-payment/tax-payment.sql';
import { selectTaxArea, type TaxAreaRow } from '../tax/tax.sql';
import { worksheetCsv } from './csv';
import { loadMonth } from './facts';
import { readAccountBalance } from './facts.sql';
import { figuresFrom, type Computed } from './figures';
import { selectLastReturn, type ReturnRow } from './return.sql';

/** The tax of an area and filing month over all its sites, and how it goes together with the journal. Writes nothing. */
export function readWorksheet(deps: Backoffice, caller: Caller, query: WorksheetQuery & { readonly id: string }): Promise<Outcome<TaxWorksheet>> {
  return perform<TaxWorksheet>(deps, caller, 'tax-return.read', async ({ tx }) => {
    const computed = await computeMonth(tx, { areaId: query.id, month: query.month });
    if (!computed.ok) return computed;
    const body = await worksheetBody(tx, computed.value);
    return done(query.siteId === undefined ? body : { ...body, machines: body.machines.filter((row) => row.siteId === query.siteId) });
  });
}

/** The worksheet as a file for a spreadsheet. */
export async function exportWorksheet(
  deps: Backoffice,
  caller: Caller,
  query: { readonly id: string; readonly month: string },
): Promise<Outcome<{ bytes: Uint8Array; fileName: string }>> {
  return perform(deps, caller, 'tax-return.read', async ({ tx }) => {
    const computed = await computeMonth(tx, { areaId: query.id, month: query.month });
    if (!computed.ok) return computed;
    const { figures } = computed.value;
    const authority = await authorityOf(tx, computed.value);
    return done({ bytes: Buffer.from(worksheetCsv(figures, authority), 'utf8'), fileName: `tax-${figures.areaCode}-${figures.month}.csv` });
  });
}

export type ComputedMonth = Computed & { readonly area: TaxAreaRow; readonly from: LocalDate; readonly until: LocalDate; readonly last: ReturnRow | null };

export async function computeMonth(tx: TenantTransaction, wanted: { areaId: string; month: string }): Promise<Outcome<ComputedMonth>> {
  const area = await selectTaxArea(tx, wanted.areaId);
  if (area === null) return refused('not-found');
  const from = localDate(`${wanted.month}-01`);
  const until = monthAfter(from);
  const loaded = await loadMonth(tx, { areaId: area.id, from, until });
  if (loaded === 'no-tax') return refused('no-tax-in-force');
  if ('obstacle' in loaded) return refusedBy(loaded.obstacle);
  return done({ ...figuresFrom(loaded, area), area, from, until, last: await selectLastReturn(tx, { areaId: area.id, month: from }) });
}

/** What recording the figures as filed would be; null when they are as they were filed last. */
export function nextKind({ result, last }: Pick<ComputedMonth, 'result' | 'last'>): TaxWorksheet['next'] {
  if (last === null) return 'original';
  if (last.tax_minor !== result.taxMinor) return 'amended';
  return last.booked_minor === result.bookedMinor ? null : 'booking';
}

async function worksheetBody(tx: TenantTransaction, computed: ComputedMonth): Promise<TaxWorksheet> {
  const { figures, result, last, digest, area } = computed;
  const money = (minor: bigint): Money => moneyOf(minor, figures.currency);
  const code = accountCodeOf({ code: 'tax-payable', holderId: area.id });
  return {
    ...figures,
    payable: money(-(await readAccountBalance(tx, { code, currency: figures.currency }))),
    filed:
      last === null
        ? null
        : {
            returnId: last.id,
            position: last.position,
            kind: last.kind,
            filedOn: last.filed_on,
            tax: money(last.tax_minor),
            booked: money(last.booked_minor),
            taxSince: money(result.taxMinor - last.tax_minor),
            bookedSince: money(result.bookedMinor - last.booked_minor),
          },
    authority: await authorityOf(tx, computed),
    next: nextKind(computed),
    digest: digest.toString('hex'),
  };
}

/** What the last return of the month owes to the authority, and what of it is paid. */
async function authorityOf(tx: TenantTransaction, { figures, last, area, from }: ComputedMonth): Promise<TaxWorksheet['authority']> {
  const money = (minor: bigint): Money => moneyOf(minor, figures.currency);
  const dueMinor = last?.tax_minor ?? 0n;
  const paidMinor = await readPaidMinor(tx, { areaId: area.id, month: from });
  return { due: money(dueMinor), paid: money(paidMinor), open: money(dueMinor - paidMinor) };
}

function monthAfter(first: LocalDate): LocalDate {
  const [year = 0, month = 0] = first.split('-').map(Number);
  return month === 12 ? addDays(fromDayNumber(dayNumberOf({ year, month, day: 31 })), 1) : fromDayNumber(dayNumberOf({ year, month: month + 1, day: 1 }));
}
