import { setImmediate as giveWay } from 'node:timers/promises';
import { daysInWords } from '#contracts/day-in-words';
import { done, refused, refusedFields, bodyField, type Outcome, type WrongField } from '#contracts/outcome';
import type { TermsDocument } from '#contracts/terms';
import type { WhatIf, WhatIfAnswer } from '#contracts/what-if';
import type { TenantTransaction } from '#database/tenant';
import { addDays } from '#domain/calendar/local-date';
import { rerun, standingPeriods, type IssuedSettlement, type RerunPeriod, type StandingPeriod } from '#domain/settlement/what-if';
import type { LawLimit } from '#domain/tax/types';
import type { AgreementVersion } from '#domain/terms/types';
import { OPERATOR } from '../agreement/check-terms';
import { termsInWords } from '../agreement/sentences';
import { writingFor } from '../agreement/writing';
import type { Caller } from '../caller';
import { BEING_COUNTED } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { breachInWords } from '../settlement/fresh';
import { readInputs, readResult } from '../settlement/inputs/stored';
import { sitesSealed } from '../settlement/sealed';
import { limitsAtSite } from '../tax/limits-at-site';
import { lineBodies } from './lines';
import { otherTerms, type OtherTerms } from './other-terms';
import { makeReadOnly, selectIssued, selectScope, takeTurn, unknownSites, type ScopeRow } from './read.sql';
import { addAgreement, noSums, partiesBody, totalsBody } from './sums';

/** Agreements read at once: some 10 MB of a year's documents, whatever the number of sites. */
const BATCH_SIZE = 20;

/**
 * What past periods would have come to under other terms: per party and period as issued, as it would have been, and the
 * difference. Nothing is stored but that somebody looked who may count there; an agreement for which the terms cannot be computed is named with the reason, and when
 * that is so for all of them the request is refused with the reasons of the first.
 */
export function runWhatIf(deps: Backoffice, caller: Caller, asked: WhatIf): Promise<Outcome<WhatIfAnswer>> {
  return perform<WhatIfAnswer>(deps, caller, 'what-if.preview', async (unit) => {
    const { tx } = unit;
    const sealed = await sitesSealed(unit, caller, asked.siteIds ?? 'every');
    await makeReadOnly(tx);
    if (!(await takeTurn(tx))) return refused('busy', { detail: 'Another comparison of this operator is being computed.', retryAfterSeconds: 5 });
    const unknown = new Set(await unknownSites(tx, asked.siteIds ?? []));
    const wrong = (asked.siteIds ?? []).flatMap((id, index) => (unknown.has(id) ? [{ path: ['siteIds', index], code: 'unknown', message: 'There is no site with this id.' }] : []));
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    const scope = await selectScope(tx, { ...asked, siteIds: asked.siteIds ?? null });
    if (scope.length === 0) return refusedFields('invalid-command', [{ path: ['startsOn'], code: 'nothing-settled', message: 'No settlement of a period in these days is issued.' }]);
    return compareAll(tx, asked, { scope, sealed, language: caller.language });
  });
}

async function compareAll(tx: TenantTransaction, asked: WhatIf, { scope, sealed, language }: { readonly scope: readonly ScopeRow[]; readonly sealed: readonly string[]; readonly language: string | undefined }): Promise<Outcome<WhatIfAnswer>> {
  const sums = noSums();
  const notComputed: { agreement: ScopeRow; wrong: readonly WrongField[] }[] = [];
  const detailed: Compared[] = [];
  for (let start = 0; start < scope.length; start += BATCH_SIZE) {
    const batch = scope.slice(start, start + BATCH_SIZE);
    const issued = await selectIssued(tx, { ...asked, agreementIds: batch.map((agreement) => agreement.agreement_id) });
    for (const agreement of batch) {
      // The process serves others meanwhile: a site's year takes some milliseconds.
      await giveWay();
      if (sealed.includes(agreement.site_id)) {
        notComputed.push({ agreement, wrong: [{ path: ['siteIds'], code: 'being-counted', message: BEING_COUNTED }] });
        continue;
      }
      const own = issued.filter((row) => row.agreement_id === agreement.agreement_id);
      const settlements = own.map((row): IssuedSettlement => ({ inputs: readInputs(row.inputs), result: readResult(row.result) }));
      const compared = await compareOne(tx, asked, { agreement, settlements });
      if ('wrong' in compared) notComputed.push({ agreement, wrong: compared.wrong });
      else {
        addAgreement(sums, agreement, { periods: compared.periods, operator: OPERATOR });
        if (asked.siteIds?.length === 1) detailed.push(compared);
      }
    }
  }
  const first = notComputed[0];
  if (first !== undefined && notComputed.length === scope.length) return refusedFields('invalid-command', first.wrong);
  const writing = await writingFor(tx, { partyIds: [...sums.parties.values()].flatMap(({ partyId, role }) => (role === 'operator' ? [] : [partyId])), language });
  const nameOf = (party: string): string => writing.partyNames.get(party) ?? party;
  const last = detailed.at(-1);
  return done({
    startsOn: asked.startsOn,
    endsBefore: asked.endsBefore,
    agreements: scope.length - notComputed.length,
    periods: sums.periods,
    totals: totalsBody(sums),
    parties: partiesBody(sums, ({ partyId }) => nameOf(partyId)),
    sites: sums.sites,
    lines: last === undefined ? null : detailed.flatMap(({ agreement, periods }) => lineBodies(agreement, periods, nameOf)),
    sentences: last === undefined ? null : termsInWords(last.document, writing),
    notComputed: notComputed.map(({ agreement, wrong }) => ({
      agreementId: agreement.agreement_id,
      siteId: agreement.site_id,
      siteCode: agreement.site_code,
      errors: wrong.map((each) => ({ ...bodyField(each.path), code: each.code, message: daysInWords(each.message) })),
    })),
  });
}

type Compared = { readonly agreement: ScopeRow; readonly periods: readonly RerunPeriod[]; readonly document: TermsDocument };

async function compareOne(
  tx: TenantTransaction,
  asked: WhatIf,
  { agreement, settlements }: { agreement: ScopeRow; settlements: readonly IssuedSettlement[] },
): Promise<Compared | { readonly wrong: readonly WrongField[] }> {
  const member = asked.terms === undefined ? 'changes' : 'terms';
  const periods = standingPeriods(settlements).filter(({ inputs: { period } }) => startsWithin(period.from, asked));
  const limits = await limitsOf(tx, agreement, periods);
  const others = new Map<string, OtherTerms>();
  for (const version of periods.flatMap(({ inputs }) => inputs.versions)) {
    if (others.has(version.id)) continue;
    const other = otherTerms(asked, version, { currency: agreement.currency, partyId: agreement.party_id, otherPartyIds: agreement.other_party_ids, limits });
    if (!other.ok) return { wrong: other.wrong };
    others.set(version.id, other);
  }
  const known = (version: AgreementVersion): OtherTerms & { ok: true } => {
    const other = others.get(version.id);
    if (other?.ok !== true) throw new Error('a version whose terms were not looked at');
    return other;
  };
  const run = rerun({
    agreementId: agreement.agreement_id,
    siteId: agreement.site_id,
    currency: agreement.currency,
    periods,
    termsOf: (version) => known(version).terms,
  });
  if (!run.ok) return { wrong: [{ path: [member], code: run.code, message: `The period from ${run.period.from} cannot be computed under these terms.` }] };
  const broken = run.periods.flatMap(({ inputs, breaches }) =>
    breaches.map((breach) => ({ path: [member], code: 'limit-not-kept', message: `Period from ${inputs.period.from}: ${breachInWords(breach, agreement.currency)}` })),
  );
  if (broken.length > 0) return { wrong: broken };
  const lastVersion = periods.at(-1)?.inputs.versions.at(-1);
  if (lastVersion === undefined) throw new Error('an agreement in whose periods no terms hold');
  return { agreement, periods: run.periods, document: known(lastVersion).document };
}

/** Settlements of other days are read where they have the last word on these; their own periods are not asked for. */
function startsWithin(day: string, { startsOn, endsBefore }: WhatIf): boolean {
  return day >= startsOn && day < endsBefore;
}

/** Limits that held when the periods were settled, and those that the place has at the end of them. */
async function limitsOf(tx: TenantTransaction, { site_id: siteId }: ScopeRow, periods: readonly StandingPeriod[]): Promise<LawLimit[]> {
  const until = periods.at(-1)?.inputs.period.until;
  const now = until === undefined ? [] : await limitsAtSite(tx, { siteId, on: addDays(until, -1) });
  const all = [...periods.flatMap(({ inputs }) => inputs.limits), ...now];
  return [...new Map(all.map((limit) => [limit.id, limit])).values()];
}
