/**
 * Turns a computed settlement into the statement for one of its payees. Pure: what a settlement does not know (names, games,
 * numbers, dates of issue, the evidence head) comes in as `StatementFacts`; no figure is computed here that the settlement
 * has not, only added up for reading.
 */
import { addDays } from '#domain/calendar/local-date';
import { cutPeriod } from '#domain/settlement/segments';
import { versionInForceAtEnd } from '#domain/settlement/settle';
import type { Payable, SettlementInputs, SettlementResult } from '#domain/settlement/types';
import { plainTerms } from '#domain/terms/plain-language';
import type { Terms } from '#domain/terms/types';
import type { StatementDocument } from '#statement/document';
import { attachedParts } from '#statement/attached-page';
import { cautionsOf } from '#statement/cautions';
import { earlierPeriodOf } from '#statement/settlement-earlier';
import type { Mapping, StatementFacts } from '#statement/settlement-mapping';
import { uncoveredCharacters } from '#statement/page/fonts';
import { payableLinesOf } from '#statement/settlement-payable';
import { guaranteesOf, machineTakingsOf, waterfallsOf } from '#statement/settlement-waterfall';
import { formatAmount, formatDate, formatDecimal } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';

export type { StatementFacts } from '#statement/settlement-mapping';

/** Throws when the payee is no party of the settlement, or a party or an earlier statement lacks its name or number: bugs. */
export function statementFromSettlement(
  settlement: { readonly inputs: SettlementInputs; readonly result: SettlementResult },
  facts: StatementFacts,
): StatementDocument {
  const mapping = mappingOf(settlement, facts);
  const { inputs, result, current, language } = mapping;
  const payable = result.payables.find(({ party }) => party === facts.payee.partyId);
  if (payable === undefined) throw new Error(`the settlement has no payee ${facts.payee.partyId}`);
  const carriedForwardMinor = payable.outcome === 'carried' ? payable.amountMinor : 0n;
  const payment = paymentText(mapping, payable);
  const advance = advanceOf(inputs, payable);
  const cautions = facts.earlierSetting?.cautions ?? cautionsOf(mapping, payable);
  return {
    operator: facts.operator,
    site: facts.site,
    payee: facts.payee,
    statementNumber: facts.statementNumber,
    firstDay: current.period.from,
    lastDay: addDays(current.period.until, -1),
    issuedOn: facts.issuedOn,
    issuedAt: facts.issuedAt,
    locale: facts.locale,
    paper: facts.paper,
    ...(facts.earlierSetting === undefined ? {} : { pageVersion: facts.earlierSetting.version }),
    currency: result.currency,
    terms: termsTexts(mapping),
    machines: machineTakingsOf(mapping),
    ...metersOf(mapping),
    waterfalls: waterfallsOf(mapping),
    guarantees: guaranteesOf(mapping),
    payable: payableLinesOf(mapping, payable),
    payableMinor: payable.amountMinor,
    carriedForwardMinor,
    dueMinor: payable.amountMinor - carriedForwardMinor,
    ...(payment === undefined ? {} : { payment }),
    ...(advance === undefined ? {} : { advance }),
    earlierPeriods: inputs.earlier.map((earlier) => earlierPeriodOf({ facts, language, result, partyName: mapping.partyName }, earlier)),
    recentPeriods: facts.recent ?? [],
    ...(facts.verificationAddress === undefined ? {} : { verificationAddress: facts.verificationAddress }),
    evidence: facts.evidence,
    cautions,
    ...attachedParts(facts, cautions),
  };
}

function mappingOf({ inputs, result }: Pick<Mapping, 'inputs' | 'result'>, facts: StatementFacts): Mapping {
  const language = languageOf(facts.locale);
  const current = result.periods.find(({ kind }) => kind === 'current');
  if (current === undefined) throw new Error('the settlement has no period of its own');
  const startsOn = new Map(inputs.current.versions.map((version) => [version.id, version.startsOn]));
  const groups = cutPeriod(inputs.current).groups;
  return {
    inputs,
    result,
    current,
    facts,
    language,
    amount: (amountMinor) => formatAmount(amountMinor, result.currency, language.conventions),
    date: (date) => formatDate(date, language),
    partyName: (party) => {
      const name = facts.partyNames.get(party);
      if (name === undefined) throw new Error(`the party ${party} has no name`);
      return name;
    },
    termsByGroup: new Map(
      groups.map(({ number, terms, versionId }) => [number, { terms, startsOn: startsOn.get(versionId) ?? inputs.current.period.from }]),
    ),
  };
}

/** One paragraph for each version of the terms that was applied, the oldest first. */
function termsTexts(mapping: Mapping): string[] {
  const { inputs, current, termsByGroup, language } = mapping;
  const applied = new Set(current.lines.flatMap(({ about }) => (about.group === undefined ? [] : [about.group])));
  const versions = [...termsByGroup].flatMap(([group, version]) => (applied.has(group) ? [version] : []));
  if (versions.length > 1) {
    return versions.map(({ terms, startsOn }) => `${language.words.sharing.termsSince(mapping.date(startsOn))}: ${termsText(mapping, terms)}`);
  }
  return [termsText(mapping, versions[0]?.terms ?? versionInForceAtEnd(inputs.current).terms)];
}

function termsText({ language, amount, date, partyName }: Mapping, terms: Terms): string {
  const { words, conventions } = language;
  return plainTerms(terms, {
    catalogue: words.termsCatalogue,
    party: partyName,
    amount,
    percent: (percent) => words.sharing.percent(formatDecimal(percent, conventions)),
    date,
  }).join(' ');
}

/** How it is paid, unless nothing is; a rounded payment in cash is said. */
function paymentText({ facts, language, amount }: Mapping, { outcome, cashPayment }: Payable): string | undefined {
  if (outcome !== 'due' && outcome !== 'owed') return undefined;
  const rounded = cashPayment === null || cashPayment.roundingMinor === 0n ? [] : [language.words.paidInCoin(amount(cashPayment.payMinor))];
  const texts = [...(facts.payment === undefined ? [] : [facts.payment]), ...rounded];
  return texts.length === 0 ? undefined : texts.join(' ');
}

/** Of machines of this settlement only. Labels were never asked for letters that a page has. */
function metersOf({ inputs, facts, language }: Mapping): Pick<StatementDocument, 'meters'> {
  const tags = new Map(inputs.current.machines.map(({ id, tag }) => [id, tag]));
  const meters = (facts.readings ?? []).flatMap(({ machineId, meter, beforeValue, lastValue, readOn }) => {
    const machineTag = tags.get(machineId);
    return machineTag === undefined ? [] : [{ machineTag, meter: uncoveredCharacters(meter).length === 0 ? meter : language.words.meters.none, beforeValue, lastValue, readOn }];
  });
  return meters.length === 0 ? {} : { meters };
}

function advanceOf({ advances }: SettlementInputs, payable: Payable): StatementDocument['advance'] {
  const openBeforeMinor = advances.reduce((sum, { party, openMinor }) => (party === payable.party ? sum + openMinor : sum), 0n);
  if (openBeforeMinor === 0n) return undefined;
  return { openBeforeMinor, repaidMinor: payable.advancesRepaidMinor, openAfterMinor: openBeforeMinor - payable.advancesRepaidMinor };
}
