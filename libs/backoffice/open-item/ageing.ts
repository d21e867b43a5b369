import type { AgedAccount, Ageing, AgeingQuery } from '#contracts/ageing';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { LocalDate } from '#domain/calendar/local-date';
import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import { ageing, type ItemToAge } from '#domain/payments/ageing';
import type { Caller } from '../caller';
import { csvTable, type CsvRow } from '../csv';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { perform, type Unit } from '../perform';
import { selectDue, type DueRow } from './ageing.sql';

const SHOWN = 1000;

/** What is owed either way between operator and payees at the end of a day, by age, at all sites that the reader sees. */
export function readAgeing(deps: Backoffice, caller: Caller, { on }: AgeingQuery): Promise<Outcome<Ageing>> {
  return perform<Ageing>(deps, caller, 'open-item.read', async (unit) => {
    const rows = await dueRows(unit, on);
    const accounts = accountsOf(rows, on);
    const currencies = [...new Set(rows.map(({ currency }) => currency))].sort();
    const totals = currencies.map((currency) => sidesOf(rows.filter((row) => row.currency === currency), { currency, on: on }));
    return done({ on, totals, accounts: accounts.slice(0, SHOWN), hasMore: accounts.length > SHOWN });
  });
}

/** Columns of the list (RFC 4180). Amounts are strict decimals with a point; those that are owed to the operator are below zero. */
const columns = ['on', 'site', 'site_name', 'agreement', 'party', 'oldest_on', 'age_days', 'currency', 'to_payee', 'from_payee'] as const;

/** All accounts as a file for a spreadsheet, a line for each age in which something is open. */
export function exportAgeing(deps: Backoffice, caller: Caller, { on }: AgeingQuery): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'open-item.read', async (unit) => {
    const accounts = accountsOf(await dueRows(unit, on), on);
    return done({ bytes: Buffer.from(csvTable({ columns, numbers: ['to_payee', 'from_payee'] }, accounts.flatMap((account) => linesOf(account, on)))), fileName: `ageing-${on}.csv` });
  });
}

async function dueRows({ tx, visibleSites }: Unit, on: LocalDate): Promise<DueRow[]> {
  return selectDue(tx, { on, sites: sitesFilter(visibleSites()) });
}

/** One for each payee under an agreement, in the order of the first row of each. */
function accountsOf(rows: readonly DueRow[], on: LocalDate): AgedAccount[] {
  const byAccount = new Map<string, DueRow[]>();
  for (const row of rows) {
    const key = `${row.agreement_id} ${row.party_id}`;
    const own = byAccount.get(key);
    if (own === undefined) byAccount.set(key, [row]);
    else own.push(row);
  }
  return [...byAccount.values()].flatMap((own) => {
    const [oldest] = own;
    if (oldest === undefined) return [];
    return {
      siteId: oldest.site_id,
      siteCode: oldest.site_code,
      siteName: oldest.site_name,
      agreementId: oldest.agreement_id,
      agreementCode: oldest.agreement_code,
      partyId: oldest.party_id,
      partyName: oldest.party_name,
      oldestOn: oldest.dated_on,
      ...sidesOf(own, { currency: oldest.currency, on }),
    };
  });
}

function sidesOf(rows: readonly DueRow[], { currency, on }: { readonly currency: CurrencyCode; readonly on: LocalDate }): Ageing['totals'][number] {
  const money = (minor: bigint) => moneyOf(minor, currency);
  const items = rows.flatMap(({ dated_on, to_payee_minor, from_payee_minor }): ItemToAge[] => [{ dueOn: dated_on, openMinor: to_payee_minor }, { dueOn: dated_on, openMinor: from_payee_minor }]);
  return {
    currency,
    toPayee: money(rows.reduce((sum, row) => sum + row.to_payee_minor, 0n)),
    fromPayee: money(rows.reduce((sum, row) => sum + row.from_payee_minor, 0n)),
    ageing: ageing(items, on).map(({ bucket, toPayeeMinor, fromPayeeMinor }) => ({ ...bucket, toPayee: money(toPayeeMinor), fromPayee: money(fromPayeeMinor) })),
  };
}

function linesOf({ siteCode, siteName, agreementCode, partyName, oldestOn, currency, ageing: buckets }: AgedAccount, on: string): CsvRow<(typeof columns)[number]>[] {
  const zero = formatMinor(0n, currency);
  return buckets.flatMap(({ fromDays, toDays, toPayee, fromPayee }) =>
    toPayee.amount === zero && fromPayee.amount === zero
      ? []
      : {
          on, site: siteCode, site_name: siteName, agreement: agreementCode, party: partyName, oldest_on: oldestOn,
          age_days: toDays === null ? `over ${fromDays - 1}` : `${fromDays} to ${toDays}`, currency, to_payee: toPayee.amount, from_payee: fromPayee.amount,
        },
  );
}
