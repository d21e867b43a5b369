import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { SettlementPayment } from '#contracts/month-end';
import { done, type Outcome } from '#contracts/outcome';
import type { SiteView } from '#contracts/site-view';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { ensurePeriods } from '../agreement/period';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { paymentsOfSettlements } from '../month-end/payments';
import { perform } from '../perform';
import { computeSettlement } from '../settlement/compute';
import { groupBy } from '../settlement/inputs/group-by';
import { loadInputs, type Loaded } from '../settlement/inputs/load';
import { figuresOf } from '../settlement/rows';
import { readAgreementsOn, readIssued, readOwnSites, type IssuedRow, type OwnSiteRow } from './site-view.sql';

const STATEMENTS_SHOWN = 24;

/**
 * A site manager's own sites: the share so far and the issued settlements. The share so far is computed like a settlement,
 * from accepted collections alone: what is counted and not accepted yet is nobody's to see.
 */
export function readSiteView(deps: Backoffice, caller: Caller): Promise<Outcome<SiteView>> {
  return perform<SiteView>(deps, caller, 'site-view.read', async ({ tx, now, visibleSites }) => {
    const visible = visibleSites();
    const sites = await readOwnSites(tx, visible === 'every' ? [] : visible);
    const soFar = await sharesSoFar(deps, tx, { sites, now });
    const rows = await readIssued(tx, { siteIds: sites.map((site) => site.site_id), perSite: STATEMENTS_SHOWN, accountId: caller.kind === 'user' ? caller.id : null, now });
    const payments = await paymentsOfSettlements(tx, rows.map(({ id, currency }) => ({ id, currency: currency as CurrencyCode })));
    const issued = groupBy(rows, (row) => row.site_id);
    return done({
      sites: sites.map((site) => ({
        siteId: site.site_id,
        siteCode: site.site_code,
        siteName: site.site_name,
        soFar: soFar.get(site.site_id) ?? null,
        settlements: (issued.get(site.site_id) ?? []).map((row) => issuedBody(row, payments.get(row.id))),
      })),
    });
  });
}

type SoFar = NonNullable<SiteView['sites'][number]['soFar']>;

async function sharesSoFar(
  deps: Backoffice,
  tx: TenantTransaction,
  query: { sites: readonly OwnSiteRow[]; now: Date },
): Promise<ReadonlyMap<string, SoFar>> {
  const days = query.sites.flatMap((site) => {
    const day = localDay({ instant: query.now, timeZone: site.time_zone });
    return day === null ? [] : [{ siteId: site.site_id, day }];
  });
  const agreements = await readAgreementsOn(tx, days);
  const wanted = days.flatMap(({ siteId, day }) => {
    const agreementId = agreements.get(siteId);
    return agreementId === undefined ? [] : [{ agreementId, date: day }];
  });
  const periods = await ensurePeriods(tx, { days: wanted, newId: deps.newId });
  const loaded = await loadInputs(tx, periods.flatMap((period) => period?.id ?? []), {
    overlook: ['collections-not-accepted', 'earlier-settlement-open', 'earlier-settlement-reversed', 'earlier-takings-unsettled'],
  });
  return new Map(loaded.flatMap((each): [string, SoFar][] => ('inputs' in each.from ? [[each.target.site_id, soFarOf(each, each.from.inputs)]] : [])));
}

function soFarOf({ target }: Loaded, inputs: Extract<Loaded['from'], { inputs: unknown }>['inputs']): SoFar {
  const currency = target.currency as CurrencyCode;
  const { counts } = inputs.current;
  const figures = figuresOf(computeSettlement(inputs).result);
  return {
    startsOn: target.starts_on as LocalDate,
    endsBefore: target.ends_before as LocalDate,
    takings: moneyOf(figures.takingsMinor, currency),
    siteShare: moneyOf(figures.siteShareMinor, currency),
    collectedUntil: counts.map((count) => count.countedOn).sort().at(-1) ?? null,
  };
}

function issuedBody(row: IssuedRow, payment: SettlementPayment | undefined): SiteView['sites'][number]['settlements'][number] {
  if (payment === undefined) throw new Error(`nothing is known of what was paid of settlement ${row.id}`);
  const currency = row.currency as CurrencyCode;
  return {
    id: row.id,
    startsOn: row.starts_on as LocalDate,
    endsBefore: row.ends_before as LocalDate,
    number: row.number,
    siteShare: moneyOf(row.site_share_minor, currency),
    payable: moneyOf(row.payable_minor, currency),
    payment,
    question: row.asked_kind === null || row.asked_at === null ? null : { state: row.asked_kind === 'answered' ? 'answered' : 'open', at: formatInstant(row.asked_at) },
    // Issued means that the signed file is there.
    statementAvailable: true,
    isNew: row.is_new,
  };
}
