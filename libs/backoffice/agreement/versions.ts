import type { AgreementVersion, CreateVersion, VersionListQuery } from '#contracts/agreement';
import { formatInstant } from '#contracts/format';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { limitsAtSite } from '../tax/limits-at-site';
import { lockAgreement, selectAgreement, type AgreementRow } from './agreement.sql';
import { termsProblems } from './check-terms';
import { cutsWithinPeriods } from './cycle-change';
import { noteRetroactive } from './retroactive';
import { termsInWords } from './sentences';
import { agreementConstraints } from './to-agreement';
import { insertVersion, selectPeriodsFrom, selectStandingVersions, selectVersions, withdrawVersion, type VersionRow } from './version.sql';
import { writingFor } from './writing';

/**
 * Records terms that hold from a day on. Terms that reach into settled periods are taken with a reason only, and have
 * those periods settled again by difference. Terms that were wrong are replaced, never edited.
 */
export async function createVersion(
  deps: Backoffice,
  caller: Caller,
  command: CreateVersion & { readonly agreementId: string },
): Promise<Outcome<AgreementVersion>> {
  const { agreementId, effectiveFrom, terms } = command;
  return perform(
    deps,
    caller,
    'agreement.change',
    async ({ tx, now }) => {
      const agreement = (await lockAgreement(tx, agreementId)) ? await selectAgreement(tx, agreementId) : null;
      if (agreement === null) return refused('not-found');
      const standing = await selectStandingVersions(tx, agreementId);
      const replaced = standing.find((version) => version.id === command.replaces);
      const limits = await limitsAtSite(tx, { siteId: agreement.site_id, on: effectiveFrom });
      const wrong = [...wrongDates(agreement, standing, command), ...termsProblems(terms, { ...placeOf(agreement), limits })];
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const kept = standing.filter((version) => version !== replaced);
      const days = [effectiveFrom, ...(replaced === undefined ? [] : [replaced.effective_from])].sort();
      const from = days[0] ?? effectiveFrom;
      const versions = [...kept.map((version) => ({ effectiveFrom: version.effective_from, cycle: version.terms.cycle })), { effectiveFrom, cycle: terms.cycle }];
      const periods = await selectPeriodsFrom(tx, { id: agreementId, from });
      if (cutsWithinPeriods({ versions, periods })) return refusedFields('invalid-command', [cycleWithin]);

      const id = command.id ?? deps.newId();
      if (replaced !== undefined) await withdrawVersion(tx, { id: replaced.id, now });
      const version = await insertVersion(tx, { id, agreement_id: agreementId, effective_from: effectiveFrom, terms, reason: command.reason ?? '', recorded_at: now });
      const refusals = await noteRetroactive(tx, {
        agreementIds: [agreementId],
        from,
        before: kept.find((other) => days.every((day) => other.effective_from > day))?.effective_from ?? null,
        cause: 'terms',
        sourceId: id,
        reason: command.reason,
        confirmRetroactive: command.confirmRetroactive,
        now,
      });
      if (refusals.length > 0) return refusedFields('invalid-command', refusals);
      return done(toVersion(version, await writingFor(tx, { partyIds: partiesOf(agreement), language: caller.language })));
    },
    { constraints: agreementConstraints },
  );
}

const cursorSchema = z.tuple([z.iso.date(), z.uuid()]);

/** Versions of an agreement, the latest first. */
export async function listVersions(
  deps: Backoffice,
  caller: Caller,
  query: VersionListQuery & { readonly agreementId: string },
): Promise<Outcome<Page<AgreementVersion>>> {
  return perform(deps, caller, 'agreement.read', async ({ tx, refusal }) => {
    const agreement = await selectAgreement(tx, query.agreementId);
    if (agreement === null) return refused('not-found');
    const refusedHere = refusal({ siteId: agreement.site_id });
    if (refusedHere !== null) return refusedHere;
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectVersions(tx, { agreementId: agreement.id, after, limit: query.limit, withdrawn: query.withdrawn === 'yes' });
    const writing = await writingFor(tx, { partyIds: partiesOf(agreement), language: caller.language });
    return done(toPage({ rows, limit: query.limit, item: (row) => toVersion(row, writing), keyOf: (row) => [row.effective_from, row.id] }));
  });
}

const cycleWithin: WrongField = {
  path: ['terms', 'cycle'],
  code: 'cycle-within-period',
  message: 'Another cycle begins where a period of the old one ends and one of the new one begins, and not where periods were cut already.',
};

function wrongDates(agreement: AgreementRow, standing: readonly VersionRow[], command: CreateVersion): WrongField[] {
  const { effectiveFrom, replaces } = command;
  const wrong = (path: string, code: string, message: string): WrongField[] => [{ path: [path], code, message }];
  if (replaces !== undefined && !standing.some(({ id }) => id === replaces)) {
    return wrong('replaces', 'unknown', 'No version of this agreement stands under this id.');
  }
  if (effectiveFrom < agreement.started_on) return wrong('effectiveFrom', 'before-agreement', `The agreement begins on ${agreement.started_on}.`);
  if (agreement.ended_on !== null && effectiveFrom >= agreement.ended_on) return wrong('effectiveFrom', 'after-agreement', `The agreement ends on ${agreement.ended_on}.`);
  const kept = standing.filter(({ id }) => id !== replaces);
  if (kept.some((version) => version.effective_from === effectiveFrom)) {
    return wrong('effectiveFrom', 'other-version', 'There are terms from this day on already: say that these correct them, or choose another day.');
  }
  if ([effectiveFrom, ...kept.map((version) => version.effective_from)].includes(agreement.started_on)) return [];
  return wrong('effectiveFrom', 'leaves-gap', `No terms would hold from the first day, ${agreement.started_on}, on.`);
}

function placeOf(agreement: AgreementRow) {
  return { currency: agreement.currency, partyId: agreement.party_id, otherPartyIds: agreement.other_party_ids };
}

function partiesOf(agreement: AgreementRow): string[] {
  return [agreement.party_id, ...agreement.other_party_ids];
}

function toVersion(row: VersionRow, writing: Parameters<typeof termsInWords>[1]): AgreementVersion {
  return {
    id: row.id,
    agreementId: row.agreement_id,
    effectiveFrom: row.effective_from,
    terms: row.terms,
    sentences: termsInWords(row.terms, writing),
    reason: row.reason,
    recordedAt: formatInstant(row.recorded_at),
    withdrawnAt: row.withdrawn_at && formatInstant(row.withdrawn_at),
  };
}
