import { refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { checkMeters, type CheckedMeters } from '../meter/check-meters';
import type { CheckedReading } from '../meter/check-readings';
import { lockMachines, selectMeters, type MeterRow } from '../meter/meter.sql';
import type { NewNotRead } from '../meter/not-read.sql';
import { isFittedAt } from '../meter/to-board';
import { policyAt } from '../policy/policy';
import { lockNamedClaims } from '../refund-claim/take-over.sql';
import { isScaleChecked } from '../scale-check/scale-check';
import { checkEntries, type Entries } from './check-entries';
import { selectAgreementOn, selectBagMetered, shareMachinePlacements, type VisitedSite } from './directory.sql';
import type { NewEntries } from './record-collections';

type Visit = {
  readonly collectionId: string;
  readonly site: Pick<VisitedSite, 'id' | 'code' | 'currency'>;
  readonly happenedAt: Date;
  readonly localDate: LocalDate;
  readonly accountingDate: LocalDate;
  readonly now: Date;
  /** When coins were weighed, if that was before the counts arrived. */
  readonly countedAt?: Date | undefined;
  readonly atMachine?: boolean;
  readonly inRoom?: boolean;
  readonly bagged?: boolean;
  readonly newId: () => string;
};

export type ResolvedEntries = NewEntries & { readonly readings: readonly CheckedReading[]; readonly notRead: readonly NewNotRead[]; readonly meters: readonly MeterRow[] };

/** Finds what the entries name, and holds it until the transaction ends; see {@link checkEntries}. */
export async function resolveEntries(tx: TenantTransaction, entries: Entries, visit: Visit): Promise<Outcome<ResolvedEntries>> {
  const { site, accountingDate, happenedAt } = visit;
  const agreement = await selectAgreementOn(tx, { siteId: site.id, day: accountingDate });
  if (agreement === null) {
    return refusedFields('no-agreement', [{ path: ['accountingDate'], code: 'no-agreement', message: `No agreement holds at site ${site.code} on ${accountingDate}.` }]);
  }
  const machines = await shareMachinePlacements(tx, {
    tags: [...entries.counts.flatMap(({ machineTag }) => machineTag ?? []), ...entries.refunds.map(({ machineTag }) => machineTag), ...entries.cashHanded.flatMap(({ machineTag }) => machineTag ?? [])],
    placementIds: entries.counts.flatMap(({ placementId }) => placementId ?? []),
  });
  const countedAt = visit.countedAt ?? visit.now;
  const scale = await isScaleChecked(tx, { id: entries.scaleCheckId, countedAt });
  if (!scale.ok) return scale;
  const { weighWithinPercent: slackPercent } = await policyAt(tx, countedAt);
  const meters = machines.length === 0 ? [] : await selectMeters(tx, [...new Set(machines.map((row) => row.machine_id))]);
  const metered = new Set(meters.filter((meter) => isFittedAt(meter, happenedAt)).map((meter) => meter.machine_id));
  const { collectionId, localDate, atMachine = false, inRoom = false, bagged = false, newId } = visit;
  const bagMetered = await selectBagMetered(tx, collectionId);
  const claims = await lockNamedClaims(tx, entries.refunds.flatMap(({ claimId }) => claimId ?? []));
  const checked = checkEntries(entries, { collectionId, siteId: site.id, siteCode: site.code, currency: site.currency, localDate, agreement, machines, metered, claims, scaleChecked: scale.value, slackPercent, bagMetered, atMachine, inRoom, bagged, newId });
  if (Array.isArray(checked)) return refusedFields('invalid-command', checked);
  const { readings, notRead, wrong } = await metersOf(tx, { entries, counts: checked.counts, meters, at: happenedAt, newId });
  if (wrong.length > 0) return refusedFields('invalid-command', wrong);
  return { ok: true, value: { ...checked, scaleCheckId: entries.scaleCheckId ?? null, readings, notRead, meters } };
}

type WithMeters = { readonly entries: Entries; readonly counts: NewEntries['counts']; readonly meters: readonly MeterRow[]; readonly at: Date; readonly newId: () => string };

/** Each reading belongs to the machine of its count. Machines of which something was read are held. */
async function metersOf(tx: TenantTransaction, { entries, counts, meters, at, newId }: WithMeters): Promise<CheckedMeters> {
  const machineOf = new Map(meters.map((meter) => [meter.id, meter.machine_id]));
  const entered = entries.counts.flatMap((entry, index) => entry.readings.map((reading, place) => ({ ...reading, machineId: counts[index]?.machineId, path: ['counts', index, 'readings', place] })));
  const unread = entries.counts.flatMap((entry, index) => entry.unread.map((meter, place) => ({ ...meter, machineId: counts[index]?.machineId, path: ['counts', index, 'unread', place] })));
  const elsewhere = entered.filter(({ meterId, machineId }) => machineOf.get(meterId) !== machineId);
  if (entered.length > 0) await lockMachines(tx, [...new Set(counts.map(({ machineId }) => machineId))]);
  const own = entered.filter((each) => !elsewhere.includes(each));
  const checked = await checkMeters(tx, { readings: own, unread }, { meters, at, occasion: 'collection', allAt: null, newId });
  return { ...checked, wrong: [...elsewhere.map(({ path }) => ({ path: [...path, 'meterId'], code: 'unknown', message: 'The machine has no meter with this id.' })), ...checked.wrong] };
}
