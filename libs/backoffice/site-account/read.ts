import { moneyOf, type Money } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { AccountLine, PartyAccount, SiteAccount, SiteAccountQuery } from '#contracts/site-account';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { ageDays, ageing } from '#domain/payments/ageing';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { perform, type Unit } from '../perform';
import { selectSite } from '../site/site.sql';
import { readItemsAt, readLines, readPayees, readRestAt, type LineRow, type PayeeRow } from './account.sql';
import { accountCsv } from './csv';

type Query = SiteAccountQuery & { readonly id: string };

/**
 * What the books say about each payee of a site at the end of a day: every entry on the payee's accounts with the balance
 * after it, and how old what is open is. Everything goes by the date under which the books have it, so that the balance
 * is the journal's, and a day that is past says the same again later unless something is booked into it.
 */
export function readSiteAccount(deps: Backoffice, caller: Caller, query: Query): Promise<Outcome<SiteAccount>> {
  return perform<SiteAccount>(deps, caller, 'site-account.read', (unit) => siteAccount(unit, query));
}

/** The same as a file for a spreadsheet. */
export function exportSiteAccount(deps: Backoffice, caller: Caller, query: Query): Promise<Outcome<{ bytes: Uint8Array; fileName: string }>> {
  return perform(deps, caller, 'site-account.read', async (unit) => {
    const account = await siteAccount(unit, query);
    if (!account.ok) return account;
    const { siteCode, on } = account.value;
    return done({ bytes: Buffer.from(accountCsv(account.value), 'utf8'), fileName: `account-${siteCode}-${on}.csv` });
  });
}

async function siteAccount({ tx, now, refusal, visibleSites }: Unit, query: Query): Promise<Outcome<SiteAccount>> {
  const site = await selectSite(tx, query.id);
  if (site === null) return refused('not-found');
  const denied = refusal({ siteId: site.id });
  if (denied !== null) return denied;
  const on = (query.on as LocalDate | undefined) ?? localDay({ instant: now, timeZone: site.time_zone });
  if (on === null) throw new Error('the clock is outside the calendar');
  const from = (query.from as LocalDate | undefined) ?? null;
  const payees = await readPayees(tx, { siteId: site.id, agreementId: query.agreementId ?? null, partyId: query.partyId ?? null });
  const accounts: PartyAccount[] = [];
  for (const payee of payees) accounts.push(await partyAccount(tx, { payee, on, from, ownSites: visibleSites() !== 'every' }));
  return done({ siteId: site.id, siteCode: site.code, siteName: site.name, on, from, accounts });
}

async function partyAccount(tx: TenantTransaction, wanted: { payee: PayeeRow; on: LocalDate; from: LocalDate | null; ownSites: boolean }): Promise<PartyAccount> {
  const { payee, on, from, ownSites } = wanted;
  const money = (minor: bigint): Money => moneyOf(minor, payee.currency);
  const rows = await readLines(tx, { payee, on });
  const before = from === null ? [] : rows.filter((row) => row.accounting_date < from);
  const openingMinor = sum(before.map(changeOf));
  const items = await readItemsAt(tx, { payee, on });
  const rest = await readRestAt(tx, { payee, on });
  return {
    agreementId: payee.agreement_id,
    agreementCode: payee.agreement_code,
    partyId: payee.party_id,
    partyName: payee.party_name,
    currency: payee.currency,
    opening: money(openingMinor),
    lines: linesOf(rows.slice(before.length), { openingMinor, money, ownSites }),
    closing: money(sum(rows.map(changeOf))),
    madeOf: {
      openItems: money(sum(items.map((item) => item.open_minor))),
      carried: money(rest.carried_minor),
      unmatched: money(-rest.unmatched_minor),
      handed: money(sum(rows.map((row) => row.handed_minor))),
      advances: money(sum(rows.map((row) => row.advance_minor))),
    },
    ageing: ageing(items.map((item) => ({ dueOn: item.dated_on, openMinor: item.open_minor })), on).map((aged) => ({
      ...aged.bucket,
      toPayee: money(aged.toPayeeMinor),
      fromPayee: money(aged.fromPayeeMinor),
    })),
    items: items.map((item) => ({
      openItemId: item.id,
      settlementId: item.settlement_id,
      number: item.number,
      dueOn: item.dated_on,
      ageDays: ageDays(item.dated_on, on),
      open: money(item.open_minor),
      disputed: item.held,
    })),
  };
}

/** Reasons stay in the office. */
function linesOf(rows: readonly LineRow[], show: { openingMinor: bigint; money: (minor: bigint) => Money; ownSites: boolean }): AccountLine[] {
  const { money, ownSites } = show;
  let balanceMinor = show.openingMinor;
  return rows.map((row) => {
    balanceMinor += changeOf(row);
    return {
      date: row.accounting_date,
      kind: row.kind,
      reference: row.reference,
      note: ownSites ? '' : row.note,
      settlementId: row.settlement_id,
      paymentId: row.payment_id,
      run: ownSites || row.run_id === null || row.run_execute_on === null ? null : { id: row.run_id, executeOn: row.run_execute_on },
      amount: money(changeOf(row)),
      carried: row.carried_minor === null ? null : money(row.carried_minor),
      balance: money(balanceMinor),
    };
  });
}

function changeOf(row: LineRow): bigint {
  return row.payable_minor + row.handed_minor + row.advance_minor;
}

function sum(amounts: readonly bigint[]): bigint {
  return amounts.reduce((total, minor) => total + minor, 0n);
}
