import { moneyOf } from '#contracts/money';
import type { AgreementState, MonthEnd, MonthEndAgreement, MonthEndAgreementsQuery, MonthEndQuery, SettlementPayment } from '#contracts/month-end';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { z } from 'zod';
import type { Caller } from '../caller';
import { dueAgreements } from '../close/agreements';
import { untoldBoxesOf } from '../close/read';
import { findRun, readFailures } from '../close/run.sql';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { countOpenClaims } from '../refund-claim/refund-claim.sql';
import { sitesSealed } from '../settlement/sealed';
import { countLateChanges, readAgreementRows, type AgreementRow } from './month-end.sql';
import { paymentsOfSettlements } from './payments';

/** How far a period is, counted in agreements. */
export function readMonthEnd(deps: Backoffice, caller: Caller, query: MonthEndQuery): Promise<Outcome<MonthEnd>> {
  return perform<MonthEnd>(deps, caller, 'close.read', async ({ tx }) => {
    const period = await readPeriod(tx, query);
    if (period === null) return refused('not-found');
    const states = period.agreements.map((agreement) => agreement.state);
    const count = (state: AgreementState): number => states.filter((each) => each === state).length;
    return done({
      cycle: query.cycle,
      startsOn: query.startsOn,
      endsBefore: period.endsBefore,
      closeId: period.closeId,
      counts: {
        agreements: states.length,
        withoutCollections: count('no-collections'),
        openCollections: count('open-collections'),
        drafts: count('draft'),
        held: period.agreements.filter(({ state, heldBecause }) => state === 'draft' && heldBecause !== null).length,
        reviewed: count('reviewed'),
        numbered: count('numbered'),
        issued: count('issued'),
        failed: count('failed'),
        ...countPayments(period.agreements),
        lateChanges: await countLateChanges(tx, period.agreements.map((agreement) => agreement.agreementId)),
        openRefundClaims: await countOpenClaims(tx, { siteIds: period.agreements.flatMap(({ siteId, state }) => (state === 'numbered' || state === 'issued' ? [] : [siteId])), before: period.endsBefore }),
      },
    });
  });
}

function countPayments(agreements: readonly MonthEndAgreement[]): Pick<MonthEnd['counts'], 'unpaid' | 'partlyPaid' | 'disputed' | 'paid' | 'toReceive'> {
  const payments = agreements.flatMap(({ payment }) => payment ?? []);
  const count = (state: SettlementPayment['state']): number => payments.filter((each) => each.state === state).length;
  return { unpaid: count('open'), partlyPaid: count('partly-paid'), disputed: count('disputed'), paid: count('paid'), toReceive: payments.filter(({ toReceive }) => /[1-9]/.test(toReceive.amount)).length };
}

/** The agreements of a period, by site code, each with its state and figures; without these where the caller counts and is not shown the settlement. */
export function listMonthEndAgreements(deps: Backoffice, caller: Caller, query: MonthEndAgreementsQuery): Promise<Outcome<Page<MonthEndAgreement>>> {
  return perform<Page<MonthEndAgreement>>(deps, caller, 'close.read', async (unit) => {
    const { tx } = unit;
    const after = decodeCursor(query.cursor, z.tuple([z.string().max(20), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const period = await readPeriod(tx, query);
    if (period === null) return refused('not-found');
    const isAfter = ({ siteCode, agreementId }: MonthEndAgreement): boolean =>
      after === null || siteCode > after[0] || (siteCode === after[0] && agreementId > after[1]);
    const rows = period.agreements.filter((each) => isAfter(each) && (query.state === undefined || each.state === query.state));
    const page = rows.slice(0, query.limit + 1);
    const sealed = await sitesSealed(unit, caller, [...new Set(page.map((row) => row.siteId))]);
    return done(toPage({ rows: page, limit: query.limit, item: (row) => (sealed.includes(row.siteId) ? withoutFigures(row) : row), keyOf: (row) => [row.siteCode, row.agreementId] }));
  });
}

const withoutFigures = (row: MonthEndAgreement): MonthEndAgreement => ({ ...row, takings: null, siteShare: null, payable: null, earlier: null, previousTakings: null, previousPayable: null });

type Period = { readonly endsBefore: MonthEnd['endsBefore']; readonly closeId: string | null; readonly agreements: readonly MonthEndAgreement[] };

/** Nobody can list as many failures as a run has agreements. */
const FAILURES_READ = 100_000;

async function readPeriod(tx: TenantTransaction, query: MonthEndQuery): Promise<Period | null> {
  const due = await dueAgreements(tx, query);
  const endsBefore = due[0]?.endsBefore;
  if (endsBefore === undefined) return null;
  const closeId = (await findRun(tx, query)) ?? null;
  const failures = closeId === null ? [] : await readFailures(tx, { closeRunId: closeId, limit: FAILURES_READ });
  const untold = await untoldBoxesOf(tx, failures);
  const failureOf = new Map(failures.map((row) => [row.agreement_id, { code: row.code, message: row.message, machines: row.machines, untoldBoxes: [...(untold.get(row) ?? [])] }]));
  const rows = await readAgreementRows(tx, { agreementIds: due.map((each) => each.agreementId), startsOn: query.startsOn, endsBefore });
  const payments = await paymentsOfSettlements(tx, rows.flatMap((row) => (hasNumber(row) ? [{ id: row.settlement_id, currency: row.currency as CurrencyCode }] : [])));
  return { endsBefore, closeId, agreements: rows.map((row) => agreementBody(row, { failure: failureOf.get(row.agreement_id) ?? null, payment: payments.get(row.settlement_id ?? '') ?? null })) };
}

const hasNumber = (row: AgreementRow): row is AgreementRow & { readonly settlement_id: string } => row.settlement_id !== null && (row.settlement_state === 'numbered' || row.settlement_state === 'issued');

function agreementBody(row: AgreementRow, { failure, payment }: Pick<MonthEndAgreement, 'failure' | 'payment'>): MonthEndAgreement {
  const money = (minor: bigint | null): MonthEndAgreement['takings'] => (minor === null ? null : moneyOf(minor, row.currency as CurrencyCode));
  return {
    agreementId: row.agreement_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    settlementId: row.settlement_id,
    reversedId: row.reversed_id,
    state: stateOf(row, failure !== null),
    takings: money(row.takings_minor),
    siteShare: money(row.site_share_minor),
    payable: money(row.payable_minor),
    earlier: money(row.earlier_minor),
    previousTakings: money(row.previous_takings_minor),
    previousPayable: money(row.previous_payable_minor),
    heldBecause: row.held_because,
    payment,
    failure,
  };
}

function stateOf(row: AgreementRow, failed: boolean): AgreementState {
  if (row.settlement_state !== null) return row.settlement_state;
  if (row.has_open_collections) return 'open-collections';
  if (failed) return 'failed';
  return row.has_takings ? 'ready' : 'no-collections';
}
