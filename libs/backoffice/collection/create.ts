import type { Collection, CreateCollection } from '#contracts/collection';
import { refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { can } from '#domain/permissions/can';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform, type PerformOptions } from '../perform';
import { fieldFailure, taken, unknownReference } from '../refusal';
import { checkEntries, type Entries } from './check-entries';
import { checkVisit } from './check-visit';
import { insertKeyHolder } from '../collection-key/name.sql';
import { isVisitKnown, selectAgreementOn, selectVisitedSite, shareMachinePlacements, type VisitedSite } from './directory.sql';
import { recordCollections, type NewEntries } from './record-collections';
import { isScaleChecked } from '../scale-check/scale-check';
import { readBack } from './to-collection';

export const collectionConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  collection_pkey: taken(['id'], 'a collection with this id'),
  collection_visit_once: taken(['happenedAt'], 'a collection of this site at this moment'),
  collection_tenant_id_collected_by_fkey: unknownReference(['collectedBy'], 'person'),
  collection_key_holder_person: unknownReference(['keyHolderId'], 'person'),
  box_count_pkey: fieldFailure('already-exists', { path: ['counts'], code: 'taken', message: 'One of these ids belongs to another count.' }),
  refund_slip_pkey: fieldFailure('already-exists', { path: ['refunds'], code: 'taken', message: 'One of these ids belongs to another slip.' }),
  cash_handed_pkey: fieldFailure('already-exists', { path: ['cashHanded'], code: 'taken', message: 'One of these ids belongs to another hand-out.' }),
};

/**
 * Records a visit to a site, with its counts or open for them. Nothing of it is in the books before it is accepted.
 * Whoever may accept collections may book them to another day.
 */
export async function createCollection(deps: Backoffice, caller: Caller, command: CreateCollection): Promise<Outcome<Collection>> {
  return perform(
    deps,
    caller,
    'collection.create',
    async ({ tx, now }) => {
      const site = await selectVisitedSite(tx, command.siteId);
      if (site === null) return refusedFields('invalid-command', [{ path: ['siteId'], code: 'unknown', message: 'There is no site with this id.' }]);
      const happenedAt = new Date(command.happenedAt);
      const days = checkVisit({ happenedAt, accountingDate: command.accountingDate, accountingReason: command.accountingReason }, { site, now });
      if ('length' in days) return refusedFields('invalid-command', days);
      if (days.accountingDate !== days.localDate && !can(caller, 'collection.accept')) {
        return refused('not-allowed', { detail: 'Only who may accept collections books one to another day than that of the visit.' });
      }
      if (await isVisitKnown(tx, { siteId: site.id, happenedAt })) {
        return refusedFields('already-exists', [{ path: ['happenedAt'], code: 'taken', message: 'There is a collection of this site at this moment already.' }]);
      }
      const id = command.id ?? deps.newId();
      const entries = await resolveEntries(tx, command, { collectionId: id, site, ...days, now, newId: deps.newId });
      if (!entries.ok) return entries;
      await recordCollections(tx, {
        ...entries.value,
        now,
        collections: [
          {
            id,
            siteId: site.id,
            currency: site.currency,
            happenedAt,
            ...days,
            state: command.counts.length === 0 ? 'open' : 'counted',
            collectedBy: command.collectedBy,
            importFileId: null,
          },
        ],
      });
      const { keyHolderId = null, boxesExchanged = false } = command;
      if (keyHolderId !== null || boxesExchanged) await insertKeyHolder(tx, { id: deps.newId(), collectionId: id, personId: keyHolderId, boxesExchanged, reason: null, now });
      return readBack(tx, id);
    },
    { constraints: collectionConstraints },
  );
}

/** Finds what the entries name, and holds it until the transaction ends; see {@link checkEntries}. */
export async function resolveEntries(
  tx: TenantTransaction,
  entries: Entries,
  visit: { collectionId: string; site: Pick<VisitedSite, 'id' | 'code' | 'currency'>; localDate: LocalDate; accountingDate: LocalDate; now: Date; atMachine?: boolean; newId: () => string },
): Promise<Outcome<NewEntries>> {
  const { site, accountingDate } = visit;
  const agreement = await selectAgreementOn(tx, { siteId: site.id, day: accountingDate });
  if (agreement === null) {
    return refusedFields('no-agreement', [{ path: ['accountingDate'], code: 'no-agreement', message: `No agreement holds at site ${site.code} on ${accountingDate}.` }]);
  }
  const machines = await shareMachinePlacements(tx, {
    tags: [...entries.counts.flatMap(({ machineTag }) => machineTag ?? []), ...entries.refunds.map(({ machineTag }) => machineTag)],
    placementIds: entries.counts.flatMap(({ placementId }) => placementId ?? []),
  });
  const scale = await isScaleChecked(tx, { id: entries.scaleCheckId, now: visit.now });
  if (!scale.ok) return scale;
  const { collectionId, localDate, atMachine = false, newId } = visit;
  const checked = checkEntries(entries, { collectionId, siteId: site.id, siteCode: site.code, currency: site.currency, localDate, agreement, machines, scaleChecked: scale.value, atMachine, newId });
  return Array.isArray(checked) ? refusedFields('invalid-command', checked) : { ok: true, value: { ...checked, scaleCheckId: entries.scaleCheckId ?? null } };
}
