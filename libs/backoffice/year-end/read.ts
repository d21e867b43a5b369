import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { YearEnd, YearEndPayee, YearEndQuery } from '#contracts/year-end';
import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { paidInYear, type PaidInYear } from '#domain/year-end/reportable';
import { thresholdOf, type Threshold } from '#domain/year-end/threshold';
import type { Caller } from '../caller';
import { csvTable } from '../csv';
import type { Backoffice } from '../dependencies';
import { presentOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { numberOpener } from './taxpayer-number';
import { selectOwed, selectPayees, selectReceived, type PayeeRow } from './year-end.sql';

const cautions = [
  'These are sums of your books, not a tax return. Whom to report, and on which form, ask your tax adviser or the tax authority.',
  'Whether a payee is reported at all depends on what it is: payments to corporations, for example, mostly are not. The program does not know that.',
  'A lease counts as rents and a joint venture not, as the agreement says. If an agreement is not what it is called, the figures are wrong.',
  'A payment counts on the day on which it was made, refunds laid out and tax passed on first. Advances count when settlements work them off.',
  'What was paid otherwise, outside settlements and payments in these books, is not in here.',
];

type Read = { readonly payee: PayeeRow; readonly shown: YearEndPayee };

/** What every payee was paid in a calendar year, and who of them is to be reported. */
export function readYearEnd(deps: Backoffice, caller: Caller, query: YearEndQuery): Promise<Outcome<YearEnd>> {
  return perform<YearEnd>(deps, caller, 'year-end.read', async ({ tx }) => {
    const { country, currency } = await presentOperator(tx);
    const payees = (await payeesOf(tx, { ...query, country })).map(({ shown }) => shown);
    return done({
      year: query.year,
      country,
      thresholdSource: thresholdOf({ country, currency, year: query.year })?.source ?? null,
      cautions,
      payees,
      missingNumbers: payees.filter(({ reportable, taxpayerNumber }) => reportable === true && taxpayerNumber === null).length,
    });
  });
}

const table = {
  columns: ['year', 'payee', 'name', 'address', 'taxpayer_number', 'number_missing', 'reportable', 'currency', 'threshold', 'rents', 'partnership', 'passed_on', 'not_settled'],
  numbers: ['year', 'threshold', 'rents', 'partnership', 'passed_on', 'not_settled'],
} as const;

/** The same as CSV, with taxpayer numbers in full: for whoever files. */
export function exportYearEnd(deps: Backoffice, caller: Caller, query: YearEndQuery): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'year-end.export', async ({ tx }) => {
    const { country } = await presentOperator(tx);
    const open = await numberOpener(deps, tx);
    const rows = (await payeesOf(tx, { ...query, country })).map(({ payee, shown }) => ({
      year: query.year,
      payee: shown.partyCode,
      name: shown.partyName,
      address: shown.address.join(', '),
      taxpayer_number: payee.sealed_number === null ? '' : open(payee.sealed_number),
      number_missing: payee.sealed_number === null ? 'yes' : 'no',
      reportable: shown.reportable === null ? 'not known' : shown.reportable ? 'yes' : 'no',
      currency: shown.currency,
      threshold: shown.threshold?.amount,
      rents: shown.rents.amount,
      partnership: shown.partnership.amount,
      passed_on: shown.passedOn.amount,
      not_settled: shown.notSettled.amount,
    }));
    return done({ bytes: Buffer.from(csvTable(table, rows)), fileName: `year-end-${String(query.year)}.csv` });
  });
}

async function payeesOf(tx: TenantTransaction, asked: { readonly year: number; readonly country: string }): Promise<Read[]> {
  const sums = await sumsOf(tx, asked.year);
  const payees = await selectPayees(tx, [...new Set(sums.map(({ partyId }) => partyId))]);
  return payees.flatMap((payee) =>
    sums
      .filter(({ partyId }) => partyId === payee.id)
      .map(({ currency, paid }) => ({ payee, shown: shownPayee(payee, { currency, paid, threshold: thresholdOf({ ...asked, currency }) }) })),
  );
}

type Sum = { readonly partyId: string; readonly currency: CurrencyCode; readonly paid: PaidInYear };

/** Per payee and currency over all sites; each site is laid out by itself. */
async function sumsOf(tx: TenantTransaction, year: number): Promise<Sum[]> {
  type Key = { readonly site_id: string; readonly party_id: string; readonly currency: CurrencyCode };
  const keyOf = (row: Key): string => `${row.party_id} ${row.currency} ${row.site_id}`;
  const [owed, received] = [groupBy(await selectOwed(tx), keyOf), groupBy(await selectReceived(tx), keyOf)];
  const sums = new Map<string, Sum>();
  for (const key of new Set([...owed.keys(), ...received.keys()])) {
    const [rows, money] = [owed.get(key) ?? [], received.get(key) ?? []];
    const first: Key | undefined = rows[0] ?? money[0];
    if (first === undefined) continue;
    const paid = paidInYear(
      {
        owed: rows.map((row) => ({ arrangement: row.arrangement, incomeMinor: row.income_minor, passedOnMinor: row.passed_on_minor })),
        received: [...money.map((row) => ({ on: row.received_on, amountMinor: row.amount_minor })), ...rows.map((row) => ({ on: row.booked_on, amountMinor: row.set_off_minor }))],
      },
      year,
    );
    const payeeKey = `${first.party_id} ${first.currency}`;
    sums.set(payeeKey, { partyId: first.party_id, currency: first.currency, paid: added(sums.get(payeeKey)?.paid, paid) });
  }
  return [...sums.values()].filter(({ paid }) => paid.rentsMinor + paid.partnershipMinor + paid.passedOnMinor + paid.notSettledMinor > 0n);
}

function added(sum: PaidInYear | undefined, paid: PaidInYear): PaidInYear {
  if (sum === undefined) return paid;
  return {
    rentsMinor: sum.rentsMinor + paid.rentsMinor,
    partnershipMinor: sum.partnershipMinor + paid.partnershipMinor,
    passedOnMinor: sum.passedOnMinor + paid.passedOnMinor,
    notSettledMinor: sum.notSettledMinor + paid.notSettledMinor,
  };
}

function shownPayee(payee: PayeeRow, { currency, paid, threshold }: { readonly currency: CurrencyCode; readonly paid: PaidInYear; readonly threshold: Threshold | null }): YearEndPayee {
  return {
    partyId: payee.id,
    partyCode: payee.code,
    partyName: payee.name,
    address: payee.address,
    currency,
    rents: moneyOf(paid.rentsMinor, currency),
    partnership: moneyOf(paid.partnershipMinor, currency),
    passedOn: moneyOf(paid.passedOnMinor, currency),
    notSettled: moneyOf(paid.notSettledMinor, currency),
    threshold: threshold === null ? null : moneyOf(threshold.rentsMinor, currency),
    reportable: threshold === null ? null : paid.rentsMinor >= threshold.rentsMinor,
    taxpayerNumber: payee.ending,
  };
}
