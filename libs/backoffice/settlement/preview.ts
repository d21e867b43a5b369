import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { PreviewSettlement, SettlementPreview } from '#contracts/settlement';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { ensurePeriods } from '../agreement/period';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { readable, totalsBody } from './body';
import { computeSettlement, explainSettlement, type ComputedSettlement } from './compute';
import { loadInputs, type Loaded } from './inputs/load';
import { refusedBy } from './inputs/obstacle';
import { figuresOf } from './rows';
import { refusedWhileCounted } from './sealed';
import { readSiteOf } from './preview.sql';

/**
 * What the settlement of a period would be now: loads and computes exactly as the close does, and stores nothing but the
 * period's own row, where there was none. A period that goes on is previewed with what is accepted so far.
 */
export function previewSettlement(deps: Backoffice, caller: Caller, command: PreviewSettlement): Promise<Outcome<SettlementPreview>> {
  return perform<SettlementPreview>(deps, caller, 'settlement.preview', async (unit) => {
    const { tx } = unit;
    const site = await readSiteOf(tx, command.agreementId);
    if (site === undefined) {
      return refusedFields('invalid-command', [{ path: ['agreementId'], code: 'unknown', message: 'There is no agreement with this id.' }]);
    }
    const refusedHere = await refusedWhileCounted(unit, caller, site.site_id);
    if (refusedHere !== null) return refusedHere;
    const [period] = await ensurePeriods(tx, { days: [{ agreementId: command.agreementId, date: command.startsOn }], newId: deps.newId });
    if (period === null || period === undefined) {
      return refusedFields('invalid-command', [{ path: ['startsOn'], code: 'no-terms', message: 'No terms of the agreement are in force on this day.' }]);
    }
    const [loaded] = await loadInputs(tx, [period.id], { overlook: ['collections-not-accepted'] });
    if (loaded === undefined) throw new Error('a period that was just made is not there');
    if ('obstacle' in loaded.from) return refusedBy(loaded.from.obstacle);
    return done(await previewBody(tx, { loaded, computed: computeSettlement(loaded.from.inputs), site, language: caller.language }));
  });
}

async function previewBody(
  tx: TenantTransaction,
  preview: { loaded: Loaded; computed: ComputedSettlement; site: { site_code: string; site_name: string }; language: string | undefined },
): Promise<SettlementPreview> {
  const { loaded, computed, site, language } = preview;
  const { target } = loaded;
  const { inputs, result, resultText } = computed;
  const currency = target.currency as CurrencyCode;
  const explained = explainSettlement({ inputs, resultText, engineVersion: result.engineVersion }) ?? result;
  return {
    agreementId: target.agreement_id,
    siteId: target.site_id,
    siteCode: site.site_code,
    siteName: site.site_name,
    startsOn: target.starts_on as LocalDate,
    endsBefore: target.ends_before as LocalDate,
    kind: result.kind,
    currency,
    totals: totalsBody(figuresOf(result), currency),
    ...(await readable(tx, { inputs, result: explained, language })),
    engineVersion: result.engineVersion,
    inputsDigest: computed.inputsDigest.toString('hex'),
    resultDigest: computed.resultDigest.toString('hex'),
  };
}

