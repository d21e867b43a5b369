import type { CashlessEntry, RecordCashless, RecordedCashless } from '#contracts/cashless';
import { toAmount } from '#contracts/money';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { bookRecords } from '../agreement/book';
import { shareAgreementsOn, type AgreementOfDay } from '../agreement/on-day.sql';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform, type PerformOptions } from '../perform';
import { findPlaced, type Placed } from '../placement/find-placed';
import { fieldFailure, otherCurrency } from '../refusal';
import { insertTakings, selectReported, selectTakings, selectVisits, type CashlessRow, type NewTaking, type VisitOfReport } from './cashless.sql';

const reportedMeanwhile = fieldFailure('already-exists', { path: ['reports'], code: 'reported-already', message: 'One of these was reported already: correct that report.' });
export const cashlessConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  cashless_taking_pkey: fieldFailure('already-exists', { path: ['reports'], code: 'taken', message: 'One of these ids belongs to another report.' }),
  cashless_taking_day_once: reportedMeanwhile,
  cashless_taking_collection_once: reportedMeanwhile,
};

/**
 * Records what card readers reported, all of it or nothing. It is in the books at once: takings of the period of its day,
 * or of its collection where the terms say so; the journal has it with the settlement. Reports that are known already are
 * passed over, so that a list may be sent again.
 */
export async function recordCashless(deps: Backoffice, caller: Caller, command: RecordCashless): Promise<Outcome<RecordedCashless>> {
  return perform(
    deps,
    caller,
    'cashless.record',
    ({ tx, now }) => recordReports(tx, command.reports, { now, newId: deps.newId }),
    { constraints: cashlessConstraints },
  );
}

/** Records reports within a transaction; pointers of what is wrong lead into `reports`. */
export async function recordReports(tx: TenantTransaction, reports: readonly CashlessEntry[], deps: { now: Date; newId: () => string }): Promise<Outcome<RecordedCashless>> {
  const entries = reports.map((entry, index): Placeable => ({ entry, path: ['reports', index] }));
  const seen = new Set<string>();
  const repeated = entries.flatMap(({ entry, path }): WrongField[] => {
    if (seen.has(entry.id)) return [{ path: [...path, 'id'], code: 'twice', message: 'Another report of the list has this id.' }];
    seen.add(entry.id);
    return [];
  });
  if (repeated.length > 0) return refusedFields('invalid-command', repeated);
  const known = await passOverKnown(tx, entries);
  if (known.wrong.length > 0) return refusedFields('already-exists', known.wrong);
  const booked = await record(tx, known.fresh, deps);
  return booked.ok ? done({ recorded: known.fresh.length, known: entries.length - known.fresh.length }) : booked;
}

type Placeable = { readonly entry: CashlessEntry; readonly path: readonly (string | number)[] };

/** A report that comes again under its id and says the same is known; one that says something else is another's id. */
async function passOverKnown(tx: TenantTransaction, entries: readonly Placeable[]): Promise<{ fresh: Placeable[]; wrong: WrongField[] }> {
  const rows = new Map((await selectTakings(tx, entries.map(({ entry }) => entry.id))).map((row) => [row.id, row]));
  const fresh = entries.filter(({ entry }) => !rows.has(entry.id));
  const wrong = entries.flatMap(({ entry, path }): WrongField[] => {
    const row = rows.get(entry.id);
    return row === undefined || saysTheSame(entry, row) ? [] : [{ path: [...path, 'id'], code: 'taken', message: 'This id belongs to another report.' }];
  });
  return { fresh, wrong };
}

function saysTheSame(entry: CashlessEntry, row: CashlessRow): boolean {
  const { machineTag, placementId, localDate, collectionId, gross, refunded } = entry;
  return (
    (machineTag ?? row.machine_tag) === row.machine_tag &&
    (placementId ?? row.placement_id) === row.placement_id &&
    (collectionId ?? null) === row.collection_id &&
    (localDate ?? row.local_date) === row.local_date &&
    gross.currency === row.currency &&
    toAmount(gross).minor === row.gross_minor &&
    (refunded === undefined ? 0n : toAmount(refunded).minor) === row.refunded_minor
  );
}

async function record(tx: TenantTransaction, fresh: readonly Placeable[], deps: { now: Date; newId: () => string }): Promise<Outcome<null>> {
  const visits = await selectVisits(tx, fresh.flatMap(({ entry }) => entry.collectionId ?? []));
  const unknown = fresh.flatMap(({ entry, path }): WrongField[] =>
    entry.collectionId === undefined || visits.has(entry.collectionId) ? [] : [{ path: [...path, 'collectionId'], code: 'unknown', message: 'There is no collection with this id.' }],
  );
  if (unknown.length > 0) return refusedFields('invalid-command', unknown);
  const dated = fresh.map((each): Dated => datedBy(each, visits));
  const placed = await findPlaced(
    tx,
    dated.map(({ entry, path, localDate, visit }) => ({ machineTag: entry.machineTag, placementId: entry.placementId, day: localDate, siteId: visit?.site_id ?? null, path, dayField: 'localDate' })),
    deps.now,
  );
  const notPlaced = placed.flatMap((each) => ('code' in each ? [each] : []));
  if (notPlaced.length > 0) return refusedFields('invalid-command', notPlaced);
  const found = dated.flatMap((each, index): Found[] => {
    const at = placed[index];
    return at === undefined || 'code' in at ? [] : [{ ...each, at }];
  });
  const agreements = await shareAgreementsOn(tx, found.map(({ at, accountingDate }) => ({ siteId: at.site.id, day: accountingDate })));
  const reported = await selectReported(tx, found.map(({ at, localDate, visit }) => ({ placementId: at.placementId, localDate, collectionId: visit?.id ?? null })));
  const before = new Set<string>();
  const wrong = found.flatMap((each, index) => {
    const wrongHere = wrongReport(each, { agreement: agreements.get(index + 1), reported, before });
    before.add(keyOf(each));
    return wrongHere;
  });
  if (wrong.length > 0) return refusedFields(codeOf(wrong), wrong);
  const takings = found.map(toTaking);
  return bookRecords(tx, {
    records: takings.map((taking, index) => ({ sourceId: taking.id, agreementId: agreements.get(index + 1)?.agreement_id ?? '', accountingDate: taking.accountingDate })),
    cause: 'cashless',
    ...deps,
    write: () => insertTakings(tx, takings, deps.now),
  });
}

type Dated = Placeable & { readonly localDate: LocalDate; readonly accountingDate: LocalDate; readonly visit: VisitOfReport | null };
type Found = Dated & { readonly at: Placed };

function datedBy(each: Placeable, visits: ReadonlyMap<string, VisitOfReport>): Dated {
  const { localDate, collectionId } = each.entry;
  const visit = visits.get(collectionId ?? '');
  if (visit !== undefined) return { ...each, visit, localDate: visit.local_date, accountingDate: visit.accounting_date };
  if (localDate === undefined) throw new Error('a report without a day');
  return { ...each, visit: null, localDate, accountingDate: localDate };
}

function wrongReport(report: Found, known: { agreement: AgreementOfDay | undefined; reported: ReadonlySet<string>; before: ReadonlySet<string> }): WrongField[] {
  const { entry, path, at, visit } = report;
  const dayField = visit === null ? 'localDate' : 'collectionId';
  const wrong = (field: readonly string[], code: string, message: string): WrongField => ({ path: [...path, ...field], code, message });
  const currencies = (['gross', 'refunded'] as const)
    .filter((field) => entry[field] !== undefined && entry[field].currency !== at.site.currency)
    .map((field) => otherCurrency([...path, field, 'currency'], `Site ${at.site.code} is kept in`, at.site.currency));
  if (known.agreement === undefined) return [...currencies, wrong([dayField], 'no-agreement', `No agreement holds at site ${at.site.code} on ${report.accountingDate}.`)];
  const { cashless } = known.agreement;
  if (cashless === 'by-collection' && visit === null) return [...currencies, wrong(['localDate'], 'booked-by-collection', 'The terms book card takings by collection: name the collection.')];
  if (cashless === 'by-day' && visit !== null) return [...currencies, wrong(['collectionId'], 'booked-by-day', 'The terms book card takings by day: name the day.')];
  if (known.reported.has(keyOf(report)) || known.before.has(keyOf(report))) {
    return [...currencies, wrong([dayField], 'reported-already', 'There is a report of this machine for it already: correct that one.')];
  }
  return currencies;
}

function keyOf({ at, localDate, visit }: Found): string {
  return `${at.placementId} ${visit?.id ?? localDate}`;
}

function codeOf(wrong: readonly WrongField[]): 'no-agreement' | 'already-exists' | 'invalid-command' {
  if (wrong.every(({ code }) => code === 'no-agreement')) return 'no-agreement';
  return wrong.every(({ code }) => code === 'reported-already') ? 'already-exists' : 'invalid-command';
}

function toTaking({ entry, at, visit, localDate, accountingDate }: Found): NewTaking {
  return {
    id: entry.id,
    siteId: at.site.id,
    placementId: at.placementId,
    machineId: at.machineId,
    collectionId: visit?.id ?? null,
    localDate,
    accountingDate,
    currency: at.site.currency,
    grossMinor: toAmount(entry.gross).minor,
    refundedMinor: entry.refunded === undefined ? 0n : toAmount(entry.refunded).minor,
  };
}
