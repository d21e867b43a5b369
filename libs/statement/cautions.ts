/**
 * What a receiver should know before they rely on the figures: sentences that follow from the settlement and from what was read at its
 * counts, so that whoever checks the statement can put them together again.
 */
import { toDayNumber } from '#domain/calendar/local-date';
import type { LawLimit } from '#domain/tax/types';
import type { Payable } from '#domain/settlement/types';
import { uncoveredCharacters } from '#statement/page/fonts';
import type { Mapping } from '#statement/settlement-mapping';
import { formatDecimal } from '#statement/words/format';

/** At most so many machines are named; of the others their number is given. */
const MACHINES_NAMED = 12;

/**
 * At most so many limits of the law have a sentence each, or one less with one about the others: the attachment holds twenty cautions,
 * and six are about something else.
 */
const LIMITS_SAID = 14;

/** In the order in which they are printed; the first, about tax and law, is always there. */
export function cautionsOf(mapping: Mapping, payable: Payable): string[] {
  const { inputs, facts, language, amount } = mapping;
  const words = language.words.cautionTexts;
  const { current, earlier } = inputs;
  const counted = new Set(current.counts.map(({ machineId }) => machineId));
  const notEmptied = tagsOf(mapping, ({ id, placements }) => !counted.has(id) && placements.some((placement) => touches(placement, current.period)));
  const notRead = tagsOf(mapping, ({ id }) => counted.has(id) && facts.notRead?.has(id) === true);
  return [
    words.taxAndLaw,
    ...limitTexts(mapping, current.limits.filter((limit) => touches(limit, current.period))),
    ...(payable.taxFiledMinor === 0n ? [] : [words.taxYouFile(amount(payable.taxFiledMinor))]),
    // Where nothing was emptied at all, the takings say so themselves.
    ...(notEmptied === '' || counted.size === 0 ? [] : [words.notEmptied(notEmptied)]),
    ...(notRead === '' ? [] : [words.notRead(notRead)]),
    ...(current.breakIns.length === 0 ? [] : [words.breakIn]),
    ...(earlier.length === 0 ? [] : [words.earlier]),
  ];
}

/** Half-open days; null: without an end. */
function touches(days: { readonly from: LawLimit['from']; readonly until: LawLimit['until'] }, period: { readonly from: LawLimit['from']; readonly until: LawLimit['from'] }): boolean {
  return toDayNumber(days.from) < toDayNumber(period.until) && (days.until === null || toDayNumber(days.until) > toDayNumber(period.from));
}

function tagsOf({ inputs }: Mapping, isMeant: (machine: Mapping['inputs']['current']['machines'][number]) => boolean): string {
  const tags = inputs.current.machines.filter(isMeant).map(({ tag }) => tag).sort();
  return [tags.slice(0, MACHINES_NAMED).join(', '), ...(tags.length > MACHINES_NAMED ? [`(+${tags.length - MACHINES_NAMED})`] : [])].join(' ');
}

function limitTexts(mapping: Mapping, limits: readonly LawLimit[]): string[] {
  if (limits.length <= LIMITS_SAID) return limits.map((limit) => limitText(mapping, limit));
  const said = limits.slice(0, LIMITS_SAID - 1);
  return [...said.map((limit) => limitText(mapping, limit)), mapping.language.words.cautionTexts.moreLimits(limits.length - said.length)];
}

/** The source is whatever was entered with the limit: where the page could not print it, it is left out. */
function limitText({ language }: Mapping, limit: LawLimit): string {
  const { sharing, cautionTexts } = language.words;
  const percent = (decimal: string): string => sharing.percent(formatDecimal(decimal, language.conventions));
  const source = uncoveredCharacters(limit.source).length === 0 ? limit.source : '';
  switch (limit.kind) {
    case 'highest-site-share':
      return cautionTexts.highestSiteShare({ percent: percent(limit.percent), source });
    case 'fixed-split':
      return cautionTexts.fixedSplit({ operator: percent(limit.operatorPercent), site: percent(limit.sitePercent), source });
    case 'no-advances':
      return cautionTexts.noAdvances({ source });
  }
}
